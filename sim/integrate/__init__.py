"""One run: integrate, name the channels, balance the energy, flag what is not valid."""
