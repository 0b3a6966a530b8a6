"""The thin command line of hydrokit: reads arguments, calls one function, prints one answer.

Files: ``entry`` is where it begins, ``main`` runs a command and turns errors into exit codes, ``exits`` lists those,
``listing`` finds commands without loading them, ``question`` reads what all rig commands share, ``printing`` writes;
``commands`` holds one command a file.
"""
