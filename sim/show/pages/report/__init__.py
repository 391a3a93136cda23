"""The report of a result: one file for a browser and for paper, which needs nothing but itself."""
