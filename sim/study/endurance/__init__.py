"""Hours of track: the ride in pieces, the heat of the dampers between them."""
