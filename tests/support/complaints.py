"""What the browser itself complains about while a page is used."""

from playwright.sync_api import ConsoleMessage, Page


def complaints_of(page: Page) -> list[str]:
    """A list that fills with script errors and with what the content policy blocked."""
    complaints: list[str] = []

    def hear(message: ConsoleMessage) -> None:
        # A refused form answers 422, which the browser calls a failed load: that is for the test to judge.
        if message.type == "error" and not message.text.startswith("Failed to load resource"):
            complaints.append(message.text)

    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("console", hear)
    return complaints
