"""What is left of what was acknowledged when the server is killed amid saving, or many save at once."""
