"""Forms of a page as a browser without scripts sends them: every field as it stands, and the button that was pressed."""

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

from starlette.testclient import TestClient

ALONE = {"input", "br", "img", "meta", "link", "hr"}


@dataclass
class Form:
    """One form: where it goes, what its fields hold, which buttons it has."""

    action: str
    method: str
    enctype: str
    entry: str | None
    fields: dict[str, str] = field(default_factory=dict)
    buttons: list[tuple[str, str, str]] = field(default_factory=list)
    options: dict[str, list[str]] = field(default_factory=dict)
    required: set[str] = field(default_factory=set)
    files: set[str] = field(default_factory=set)

    @property
    def name(self) -> str:
        """What the page calls it."""
        return self.fields.get("form", "")


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self.now: Form | None = None
        self.select: str | None = None
        self.chosen = False
        self.text: str | None = None
        self.option: list[str] | None = None
        self.words: list[str] | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value if value is not None else "" for name, value in attrs}
        if tag == "form":
            self.now = Form(
                said.get("action", ""),
                said.get("method", "get"),
                said.get("enctype", ""),
                said.get("data-entry"),
            )
            self.forms.append(self.now)
            return
        form = self.now
        if form is None:
            return
        name = said.get("name", "")
        if name and "required" in said:
            form.required.add(name)
        if tag == "input" and name:
            kind = said.get("type", "text")
            if kind == "file":
                form.files.add(name)
            elif kind not in {"checkbox", "radio"} or "checked" in said:
                form.fields[name] = said.get("value", "on" if kind == "checkbox" else "")
        elif tag == "select":
            self.select, self.chosen = name, False
            form.options[name] = []
        elif tag == "option" and self.select is not None:
            self.option, self.words = [said.get("value", "\0"), "selected" if "selected" in said else ""], []
        elif tag == "textarea":
            self.text = name
            form.fields[name] = ""
        elif tag == "button":
            form.buttons.append((name, said.get("value", ""), ""))
            self.words = []

    def handle_data(self, data: str) -> None:
        if self.text is not None and self.now is not None:
            self.now.fields[self.text] += data
        elif self.words is not None:
            self.words.append(data)

    def handle_endtag(self, tag: str) -> None:
        form = self.now
        if tag == "form":
            self.now = None
        elif form is None:
            return
        elif tag == "option" and self.option is not None and self.select is not None:
            value, selected = self.option
            words = "".join(self.words or [])
            value = words if value == "\0" else value
            form.options[self.select].append(value)
            if selected or not self.chosen:
                form.fields[self.select] = value
            self.chosen = True if selected or not self.chosen else self.chosen
            self.option = self.words = None
        elif tag == "select":
            self.select = None
        elif tag == "textarea":
            self.text = None
        elif tag == "button" and form.buttons:
            name, value, _ = form.buttons[-1]
            form.buttons[-1] = (name, value, "".join(self.words or []).strip())
            self.words = None


def forms_of(page: str) -> dict[str, Form]:
    """Return the forms of a page by what the page calls them."""
    reader = _Reader()
    reader.feed(page)
    return {one.name or one.action: one for one in reader.forms}


def send(
    client: TestClient,
    form: Form,
    *,
    press: str = "",
    headers: dict[str, str] | None = None,
    files: Any = None,
    **typed: str,
) -> Any:
    """Send a form: what stands in it, changed by what is typed (`a__unit` for the field `a.unit`), and a button by its value."""
    fields = form.fields | {name.replace("__", "."): value for name, value in typed.items()}
    for name, value, words in form.buttons:
        if press and press in (value, words) and name:
            fields[name] = value
    missing = [name for name in form.required if not fields.get(name) and name not in form.files]
    assert not missing, f"a browser would not send this: {missing} are empty"
    if form.enctype == "multipart/form-data":
        none = {"none": ("", b"")}
        return client.post(form.action, data=fields, files=files or none, headers=headers)
    return client.post(form.action, data=fields, headers=headers)
