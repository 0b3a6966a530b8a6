"""What could be changed about a rig, and what each change would bring."""
