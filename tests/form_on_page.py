"""What a browser would send of a page: the fields of the form that a button belongs to, as they stand."""

from __future__ import annotations

from html.parser import HTMLParser

from django.http import HttpResponse
from django.test import Client

IDLE = ("submit", "button", "file", "image", "reset")


class FormOnPage(HTMLParser):
    """The form whose button says these words. `fields` is what its page has filled in, the button's
    own name with it; `names` also what stands unticked."""

    def __init__(self, page: str, button: str) -> None:
        super().__init__()
        self.button, self.address = button, ""
        self.fields: dict[str, str] = {}
        self.names: set[str] = set()
        self._open = self._kept = False
        self._select = self._area = ""
        self._begin("")
        self.feed(page)
        if not self._kept:
            raise LookupError(f"no button in a form says “{button}”")

    def _begin(self, action: str) -> None:
        self._action, self._seen, self._named = action, dict[str, str](), set[str]()
        self._pressed: dict[str, str] | None = None
        self._said: str | None = None  # the words of the button that is open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        has = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._begin(has.get("action", ""))
            self._open = True
        elif not self._open:
            return
        elif tag == "option":
            if self._select not in self._seen or "selected" in has:
                self._seen[self._select] = has.get("value", "")
        elif tag == "button":
            self._said, self._has = "", has
        elif "name" in has and has.get("type") not in IDLE:
            self._field(tag, has)

    def _field(self, tag: str, has: dict[str, str]) -> None:
        self._named.add(has["name"])
        if tag == "select":
            self._select = has["name"]
        elif tag == "textarea":
            self._area, self._seen[has["name"]] = has["name"], ""
        elif has.get("type") not in ("checkbox", "radio") or "checked" in has:
            self._seen[has["name"]] = has.get("value", "")

    def handle_data(self, text: str) -> None:
        if self._said is not None:
            self._said += text
        elif self._area:
            self._seen[self._area] += text.removeprefix("\n")

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self._area = ""
        elif tag == "button" and self._said is not None:
            if self._said.strip() == self.button and self._pressed is None:
                named = (
                    {self._has["name"]: self._has.get("value", "")} if "name" in self._has else {}
                )
                self._pressed = named
                self._where = self._has.get("formaction", self._action)
            self._said = None
        elif tag == "form":
            self._open = False
            if self._pressed is not None and not self._kept:
                self.fields, self.names = self._seen | self._pressed, self._named
                self.address, self._kept = self._where, True


def press(client: Client, at: str, button: str, **changed: str) -> HttpResponse:
    """Open a page, change fields of it, and press a button, without looking at it anew."""
    form = FormOnPage(client.get(at).content.decode(), button)
    unknown = set(changed) - form.names
    if unknown:
        raise LookupError(f"beside “{button}” there is no field {', '.join(sorted(unknown))}")
    answer: HttpResponse = client.post(form.address or at, form.fields | changed, follow=True)
    return answer
