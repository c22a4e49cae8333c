from __future__ import annotations

import pytest

from hillbench.errors import InvalidInput
from hillbench.fastening.limits import usual_fit
from hillbench.fastening.material import find_material, materials
from hillbench.fastening.screw import FITS, clearance_drills, heads, stock_lengths_mm
from hillbench.fastening.tables import FOLDER, TABLES, read_table
from hillbench.fastening.thread import threads


def test_every_file_is_a_table_and_every_row_has_unit_source_and_edition() -> None:
    assert sorted(TABLES) == sorted(path.stem for path in FOLDER.glob("*.csv"))
    for name in TABLES:
        rows = read_table(name)
        assert rows
        for row in rows:
            assert None not in row, name
            assert all(row[column] for column in ("unit", "source", "edition")), (name, row)
            assert all(value is not None and value.strip() for value in row.values()), (name, row)


def test_every_thread_has_limits_heads_lengths_and_a_way_through_the_base() -> None:
    for thread in threads():
        fit = usual_fit(thread)
        assert fit.external.major_mm.least_mm < fit.external.major_mm.most_mm
        assert fit.internal.minor_mm.most_mm < fit.external.major_mm.least_mm
        assert min(stock_lengths_mm(thread).values()) > 0.0
        holes = clearance_drills(thread)
        sizes = [holes[fit_name].diameter_mm for fit_name in FITS]
        assert thread.major_mm < sizes[0] < sizes[1] < sizes[2]
        for head in heads(thread):
            assert head.diameter_mm > sizes[0]


def test_materials_are_consistent() -> None:
    for material in materials().values():
        assert 0.0 < material.shear_mpa < material.tensile_mpa
        assert 0.0 < material.yield_mpa <= material.tensile_mpa
        assert 0.0 < material.poisson < 0.5


def test_an_unknown_material_is_told_with_the_nearest() -> None:
    assert find_material(" Zinc ", "post", "post_material").name == "zinc"
    with pytest.raises(InvalidInput, match=r"post_material is 'zink'.*did you mean zinc\?"):
        find_material("zink", "post", "post_material")
    with pytest.raises(InvalidInput, match="one of steel, stainless, alloy steel"):
        find_material("zinc", "screw", "screw_material")
