"""How devices reach this computer: its addresses, HTTPS by an authority of its own, and what proxies say."""
