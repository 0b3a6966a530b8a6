"""The thin command line of hydrokit."""
