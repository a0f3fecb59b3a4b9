"""What people and programs write, held to what there can be: days, kinds of JSON."""
