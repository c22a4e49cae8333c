"""The script that answers for the Clock's pages in the browser when the app is out of reach."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import FileResponse

from hillbench.web.assets import FOLDER

router = APIRouter()


@router.get("/clock/worker.js")
def worker() -> FileResponse:
    """Serve the worker from below the pages it is for, always fresh."""
    headers = {"cache-control": "no-cache", "service-worker-allowed": "/clock"}
    return FileResponse(
        FOLDER / "js" / "clock_worker.js", media_type="text/javascript", headers=headers
    )
