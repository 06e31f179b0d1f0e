"""What the browser itself complains about while a page is used."""

from playwright.sync_api import ConsoleMessage, Page

# A refused form answers 422, which the browser calls a failed load, and a test may lose an answer on its way: both are
# for the test to judge.
_NOT_OURS = ("Failed to load resource", "htmx: htmx:error: Failed to fetch")


def complaints_of(page: Page) -> list[str]:
    """A list that fills with script errors and with what the content policy blocked."""
    complaints: list[str] = []

    def hear(message: ConsoleMessage) -> None:
        if message.type == "error" and not message.text.startswith(_NOT_OURS):
            complaints.append(message.text)

    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("console", hear)
    return complaints
