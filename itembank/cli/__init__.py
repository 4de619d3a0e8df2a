"""The command line: commands parse, call the library once, and report."""
