"""One file and one line: a law, guide, spring, shape, run, measure, plot and command that the package does not know."""
