"""The shop's database as a file: kept private, copied whole, checked, put back, thinned out."""
