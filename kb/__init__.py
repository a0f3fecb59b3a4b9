"""The knowledge of the shop. Pure rooms, the records, and the desk that joins them."""
