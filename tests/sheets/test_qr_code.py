from __future__ import annotations

import segno

from hillbench.sheets.drawing import one_page
from hillbench.sheets.page import PageSize
from hillbench.sheets.pdf_writer import write_pdf
from hillbench.sheets.qr_code import QUIET_MODULES, qr_marks
from tests.sheets.pdf_reading import bitmap

ADDRESS = "http://192.168.1.23:8000/builds/7"


def test_printed_modules_are_those_of_the_code() -> None:
    matrix = [list(row) for row in segno.make_qr(ADDRESS, error="m", boost_error=False).matrix]
    side = len(matrix) + 2 * QUIET_MODULES
    page = PageSize("code", side + 20.0, side + 20.0)
    # One module a mm, 10 mm from the corner.
    data = write_pdf(one_page("code", page, qr_marks(ADDRESS, 10.0, 10.0, float(side))))
    dots = bitmap(data, 254.0).sum(axis=2) < 300
    first = 10 + QUIET_MODULES
    seen = [
        [
            int(dots[10 * (first + row) + 5, 10 * (first + column) + 5])
            for column in range(len(matrix))
        ]
        for row in range(len(matrix))
    ]
    assert seen == matrix
    assert not dots[: 10 * first].any()
    assert not dots[:, 10 * (first + len(matrix)) :].any()
