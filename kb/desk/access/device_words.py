"""What a browser says of itself (User-Agent, RFC 9110, section 10.1.5), in a few words."""

from __future__ import annotations

_SYSTEMS = (
    ("iPad", "iPad"),
    ("iPhone", "iPhone"),
    ("Android", "Android"),
    ("CrOS", "ChromeOS"),
    ("Windows", "Windows"),
    ("Macintosh", "Mac"),
    ("Linux", "Linux"),
)
# Each also names those after it, so the first that is named is the one.
_BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser", "Samsung browser"),
    ("Firefox", "Firefox"),
    ("FxiOS", "Firefox"),
    ("CriOS", "Chrome"),
    ("Chrome", "Chrome"),
    ("Safari", "Safari"),
)
_UNKNOWN = "a browser"
_LONGEST = 30


def device_words(user_agent: str) -> str:
    """Chrome on Android; a program by its own name. Never empty, never long."""
    system = next((words for sign, words in _SYSTEMS if sign in user_agent), "")
    browser = next((words for sign, words in _BROWSERS if sign in user_agent), "")
    if browser or system:
        return " on ".join(filter(None, (browser or _UNKNOWN, system)))
    name = user_agent.split("/")[0].strip()[:_LONGEST]
    return name if name.replace("-", "").replace(" ", "").isalnum() else _UNKNOWN
