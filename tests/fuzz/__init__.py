"""Files that a person, an editor or a broken disk may hand over: mutated ones of those that are shipped, and what must hold for each."""
