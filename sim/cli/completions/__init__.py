"""What shells complete: scripts made of the commands' own options, shipped as they are, so that nothing more is installed with jounce."""
