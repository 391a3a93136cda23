"""A described truck as numbers, standing, with the road as its tyres feel it."""
