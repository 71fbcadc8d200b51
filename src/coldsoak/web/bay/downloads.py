"""Files that a browser keeps, under a name that no header, disk or spreadsheet takes for something else."""

from urllib.parse import quote

from coldsoak.shop.names import safe_file_name

_PLAIN = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 -_.()")
_ATTR = "!#$&+-.^_`|~"


def attachment(name: str, otherwise: str = "file") -> dict[str, str]:
    r"""Return the header that names a download: in ASCII for old programs, and as it is (RFC 6266, RFC 8187).

    >>> attachment('2027/"Öl".csv\r\nSet-Cookie: a=b')["content-disposition"]
    'attachment; filename="_l.csvSet-Cookie a_b"; filename*=UTF-8\'\'%C3%96l.csvSet-Cookie%20a%3Db'
    """
    safe = safe_file_name(name, otherwise)
    plain = "".join(c if c in _PLAIN else "_" for c in safe)
    said = f'attachment; filename="{plain}"'
    if plain != safe:
        said += f"; filename*=UTF-8''{quote(safe, safe=_ATTR)}"
    return {"content-disposition": said}
