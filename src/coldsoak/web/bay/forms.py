"""Forms as they come in: read once, and only from somebody who may; then held against the anti-forgery token."""

from fastapi import Request
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException

from coldsoak.shop.people import Deed
from coldsoak.web.bay.asked import door_of, may
from coldsoak.web.bay.door import Caller
from coldsoak.web.bay.refusals import FORMS
from coldsoak.web.bay.sizes import TooLarge
from coldsoak.web.bay.threads import at_once

MOST_FIELDS = 400
MOST_FILES = 12
FORM_TYPES = {"application/x-www-form-urlencoded", "multipart/form-data"}


async def fields(
    request: Request, deed: Deed | None = "enter"
) -> tuple[dict[str, str], dict[str, UploadFile]]:
    """Return texts and files of a form. Nothing is read of anybody who may not do the `deed`; None lets everybody."""
    if deed is not None:
        await at_once(may, request, deed)
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind not in FORM_TYPES:
        raise HTTPException(415, "This address takes forms only: send it from the page.")
    try:
        form = await request.form(max_fields=MOST_FIELDS, max_files=MOST_FILES)
    except HTTPException as error:
        if isinstance(error.__context__, TooLarge):
            raise error.__context__ from None
        raise
    request.scope["state"].setdefault(FORMS, []).append(form)
    texts = {name: value for name, value in form.multi_items() if isinstance(value, str)}
    uploads = {
        name: value for name, value in form.multi_items() if isinstance(value, UploadFile) and value.filename
    }
    return texts, uploads


def allowed(request: Request, deed: Deed, texts: dict[str, str]) -> Caller:
    """Return who asks for a change, if they may and the form is one of our pages; the token is taken out."""
    caller = may(request, deed)
    door_of(request).must_be_ours(request, texts.pop("token", ""))
    return caller
