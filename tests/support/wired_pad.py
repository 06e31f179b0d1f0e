"""A plain wired number pad, as the browser hears it."""

from playwright.sync_api import Page

_OFF = {"0": "Insert", "1": "End", "2": "ArrowDown", "3": "PageDown", "4": "ArrowLeft", "5": "Clear", "6": "ArrowRight"}
_OFF |= {"7": "Home", "8": "ArrowUp", "9": "PageUp", ".": "Delete"}
_CODES = {".": "Decimal", "+": "Add", "-": "Subtract", "*": "Multiply", "/": "Divide", "Enter": "Enter"}

_HAND_MS = 80  # quicker keys would be a scale's


class Pad:
    """The keys of the pad, as the browser hears them; with Num Lock off figures come as arrows and the like."""

    def __init__(self, page: Page, *, num_lock: bool) -> None:
        self._page = page
        self._cdp = page.context.new_cdp_session(page)
        self._num_lock = num_lock

    def press(self, *keys: str) -> None:
        """One key after the other; a text of figures is pressed figure by figure."""
        for key in keys:
            for each in [key] if key in {"Enter", "Backspace"} else key:
                self._press(each)

    def _press(self, key: str) -> None:
        code = "Backspace" if key == "Backspace" else f"Numpad{_CODES.get(key, key)}"
        said = _OFF.get(key, key) if not self._num_lock else key
        about = {"code": code, "key": said, "location": 0 if key == "Backspace" else 3}
        text = {"text": "\r" if key == "Enter" else key} if said == key and key != "Backspace" else {}
        virtual = {"Backspace": 8, "Enter": 13}.get(key, 0)
        down = {"type": "keyDown", **about, **text, "windowsVirtualKeyCode": virtual}
        self._cdp.send("Input.dispatchKeyEvent", down)
        self._cdp.send("Input.dispatchKeyEvent", {"type": "keyUp", **about, "windowsVirtualKeyCode": virtual})
        self._page.wait_for_timeout(_HAND_MS)
