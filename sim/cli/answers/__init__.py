"""What `--json` says of commands whose own files are long: a file a command."""
