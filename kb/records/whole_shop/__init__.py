"""The whole shop as sealed JSON lines, out of one database and into another of either kind."""
