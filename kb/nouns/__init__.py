"""The nouns of the trade as frozen values. No behaviour beyond what a value can say of itself."""
