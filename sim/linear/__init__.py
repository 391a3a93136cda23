"""Linear view of the same equations: how a set-up stands, its modes, its response to a shaking road."""
