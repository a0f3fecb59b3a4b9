"""How the program is used and kept running. Nothing of a shop is in it, so anybody may read it."""
