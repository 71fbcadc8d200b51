"""A file as it comes in: written to the disk piece by piece, so that a large one does not fill the memory."""

import tempfile
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import BinaryIO, cast

from fastapi import Request

from coldsoak.web.bay.threads import at_once

IN_MEMORY = 1 << 20


@asynccontextmanager
async def received(request: Request) -> AsyncIterator[BinaryIO]:
    """Hold the body of a request as a file until the block is left."""
    with tempfile.SpooledTemporaryFile(max_size=IN_MEMORY) as held:
        size = 0
        async for piece in request.stream():
            size += len(piece)
            if size > IN_MEMORY:  # from now on every write waits for a disk
                await at_once(held.write, piece)
            else:
                held.write(piece)
        held.seek(0)
        yield cast("BinaryIO", held)
