"""What people call the browser they sit at, out of what it says of itself."""

# In this order: most say the names of others as well.
_BROWSERS = (
    ("Firefox/", "Firefox"),
    ("FxiOS/", "Firefox"),
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser/", "Samsung Internet"),
    ("CriOS/", "Chrome"),
    ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
)
_SYSTEMS = (
    ("Android", "Android"),
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Windows", "Windows"),
    ("CrOS", "Chrome OS"),
    ("Mac OS X", "Mac"),
    ("Linux", "Linux"),
)


def browser_words(user_agent: str) -> str:
    """A browser in words, such as "Firefox on Windows"; "a browser" where it does not say."""
    browser = next((word for sign, word in _BROWSERS if sign in user_agent), "a browser")
    system = next((word for sign, word in _SYSTEMS if sign in user_agent), "")
    return f"{browser} on {system}" if system else browser
