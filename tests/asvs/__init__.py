"""The table of OWASP ASVS 5.0.0 at level 2: each requirement with what meets it, or why it is not met."""
