"""The commands, one a file; each file's ``command`` is listed in ``hydrokit_cli.listing``."""
