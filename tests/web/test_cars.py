"""The pages of cars, with forms as a browser without script sends them, and with htmx."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from hillbench.records.bench_book import BenchBook
from hillbench.usecases.show_car import show_car
from tests.web.conftest import CheckedClient

HOSTILE = '<script>alert("x")</script> & "quotes"'


@pytest.fixture
def car(client: CheckedClient) -> str:
    """The address of a car without any readings."""
    typed = {"name": "Grey no. 3", "casting": "Marl Coupé", "note": ""}
    return str(client.post("/cars/new", data=typed).headers["location"])


def number(address: str) -> int:
    return int(address.rsplit("/", maxsplit=1)[-1])


def test_a_new_car_is_shown_and_listed_under_its_casting(client: CheckedClient, car: str) -> None:
    page = client.get(car).text
    assert "Grey no. 3" in page
    assert "Weigh it next" in page
    listed = client.get("/cars").text
    assert listed.index("Marl Coupé") < listed.index("Grey no. 3")


def test_names_with_markup_are_shown_as_typed(client: CheckedClient) -> None:
    answer = client.post("/cars/new", data={"name": HOSTILE, "casting": HOSTILE, "note": HOSTILE})
    for address in (answer.headers["location"], "/cars", "/", "/cars?q=script"):
        page = client.get(address).text
        assert "<script>alert" not in page
        assert "&lt;script&gt;alert" in page


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"name": "  ", "casting": "Marl"}, "The name is empty"),
        ({"name": "x" * 5000, "casting": "Marl"}, "5000 characters long"),
        ({"name": "a\x07b", "casting": "Marl"}, "control character"),
        ({"name": "grey NO. 3", "casting": "Marl"}, "a name that no other car has"),
        ({"name": "Plum", "casting": ""}, "The casting is empty"),
    ],
)
def test_a_car_that_will_not_do(
    client: CheckedClient, book: BenchBook, car: str, typed: dict[str, str], said: str
) -> None:
    response = client.post("/cars/new", data={**typed, "note": "kept <as> typed"})
    assert response.status_code == 422
    assert said in response.text
    assert "kept &lt;as&gt; typed" in response.text
    assert 'aria-invalid="true"' in response.text
    with pytest.raises(Exception, match="There is no car"):
        show_car(book, number(car) + 1)


@pytest.mark.usefixtures("car")
def test_search_finds_by_name_and_casting_without_script(client: CheckedClient) -> None:
    client.post("/cars/new", data={"name": "Plum", "casting": "Fenland", "note": ""})
    client.get("/")  # tells that Plum was added
    assert "Plum" not in client.get("/cars?q=grey+COUP%C3%89").text
    assert "Grey" not in client.get("/cars?q=fen").text
    assert "No car and no casting" in client.get("/cars?q=zebra").text


def test_a_car_is_renamed(client: CheckedClient, car: str) -> None:
    assert 'value="Grey no. 3"' in client.get(f"{car}/edit").text
    typed = {"name": "Slate", "casting": "Marl Coupé", "note": "new axles"}
    assert client.post(f"{car}/edit", data=typed).status_code == 303
    page = client.get(car).text
    assert "Slate" in page
    assert "new axles" in page


def test_a_weighing_keeps_all_readings(client: CheckedClient, book: BenchBook, car: str) -> None:
    typed = {"readings_g": "37.21 37.24 37.22 g", "scale_resolution_g": "0.01", "note": "bare"}
    answer = client.post(f"{car}/weighings", data=typed)
    assert (answer.status_code, answer.headers["location"]) == (303, f"{car}#mass")
    weighing = show_car(book, number(car)).weighings[0]
    assert weighing.readings_g == (37.21, 37.24, 37.22)
    page = client.get(car).text
    # By hand: s = 0.015275, s/√3 = 0.008819, 0.01/√12 = 0.002887, together 0.009280.
    assert "37.223" in page
    assert "0.009" in page


@pytest.mark.parametrize(
    ("readings", "step", "expected_g", "expected_step_g"),
    [
        ("37,2", "0,1", 37.2, 0.1),
        ("1 oz", "0.01 g", 28.349523125, 0.01),
        ("2 oz", "0.001 oz", 56.69904625, 0.028349523125),
        ("1 1/4 oz;", "0.01", 35.43690390625, 0.01),
        ("500 gr", "1 gr", 32.399455, 0.06479891),
    ],
)
def test_masses_in_the_units_typed(
    client: CheckedClient,
    book: BenchBook,
    car: str,
    readings: str,
    step: str,
    expected_g: float,
    expected_step_g: float,
) -> None:
    """The ounce is 28.349523125 g and the grain 64.79891 mg exactly (NIST SP 811, app. B)."""
    client.post(f"{car}/weighings", data={"readings_g": readings, "scale_resolution_g": step})
    weighing = show_car(book, number(car)).weighings[0]
    assert weighing.readings_g[0] == pytest.approx(expected_g, rel=1e-12)
    assert weighing.scale_resolution_g == pytest.approx(expected_step_g, rel=1e-12)


def test_a_bare_number_is_in_the_preferred_unit(
    client: CheckedClient, book: BenchBook, car: str
) -> None:
    choice = {"mass_unit": "oz", "length_unit": "in", "distance_unit": "ft", "theme": "auto"}
    client.post("/preferences", data=choice)
    client.post(f"{car}/weighings", data={"readings_g": "1.25", "scale_resolution_g": "0.01 g"})
    client.post(f"{car}/readings", data={"wheelbase_mm": "1 5/8", "axle_diameter_mm": "1 mm"})
    shown = show_car(book, number(car))
    assert shown.weighings[0].readings_g[0] == pytest.approx(1.25 * 28.349523125)
    assert shown.current["wheelbase_mm"].value == pytest.approx(1.625 * 25.4)
    assert shown.current["axle_diameter_mm"].value == pytest.approx(1.0)
    page = client.get(car).text
    assert page.index("1.25") < page.index("35.44")  # ounces first, grams beside


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"readings_g": "", "scale_resolution_g": "0.01"}, "type what the scale showed"),
        ({"readings_g": "3700", "scale_resolution_g": "0.01"}, "check the decimal point"),
        ({"readings_g": "37.2 nan", "scale_resolution_g": "0.01"}, "in one of: g"),
        ({"readings_g": "-3", "scale_resolution_g": "0.01"}, "between 1 and 1000 g"),
        ({"readings_g": "37 mm", "scale_resolution_g": "0.01"}, "a mass in one of"),
        ({"readings_g": "37.2", "scale_resolution_g": "fine"}, "a mass such as 12.5 g"),
        ({"readings_g": "37.2", "scale_resolution_g": "0"}, "between 0.0001 and 10 g"),
    ],
)
def test_a_weighing_that_will_not_do(
    client: CheckedClient, book: BenchBook, car: str, typed: dict[str, str], said: str
) -> None:
    for response in (
        client.post(f"{car}/weighings", data={**typed, "note": "typed with care"}),
        client.htmx("POST", f"{car}/weighings", data={**typed, "note": "typed with care"}),
    ):
        assert response.status_code == 422
        assert said in response.text
        assert "typed with care" in response.text
        assert typed["readings_g"] in response.text
    assert show_car(book, number(car)).weighings == ()


def test_htmx_gets_the_part_that_changed(client: CheckedClient, car: str) -> None:
    typed = {"readings_g": "37.2", "scale_resolution_g": "0.1"}
    response = client.htmx("POST", f"{car}/weighings", data=typed)
    assert response.status_code == 200
    assert response.text.lstrip().startswith('<section class="leaf" id="mass">')
    assert 'id="history" hx-swap-oob="true"' in response.text
    assert 'id="messages" class="messages" role="status" hx-swap-oob="true"' in response.text
    assert "<html" not in response.text


def test_several_quantities_at_once(client: CheckedClient, book: BenchBook, car: str) -> None:
    typed = {"wheelbase_mm": "41,5", "wheel_count": "3", "drag_area_cm2": "4.2", "cg_height_mm": ""}
    assert client.post(f"{car}/readings", data=typed).status_code == 303
    current = show_car(book, number(car)).current
    values = {name: reading.value for name, reading in current.items()}
    assert values == {"wheelbase_mm": 41.5, "wheel_count": 3.0, "drag_area_cm2": 4.2}
    page = client.get(car).text
    assert page.count(">measured<") == 3
    assert "1.634" in page  # 41.5 mm in inches, by 25.4


def test_one_wrong_quantity_keeps_none(client: CheckedClient, book: BenchBook, car: str) -> None:
    typed = {"wheelbase_mm": "41.5", "cg_ahead_of_rear_axle_mm": "60", "wheel_count": "four"}
    response = client.post(f"{car}/readings", data=typed)
    assert response.status_code == 422
    assert 'value="41.5"' in response.text
    assert 'href="#measure-wheel_count"' in response.text
    response = client.post(f"{car}/readings", data={**typed, "wheel_count": "4"})
    assert "at most the wheelbase (41.5 mm)" in response.text
    assert show_car(book, number(car)).current == {}
    assert client.post(f"{car}/readings", data={"wheelbase_mm": " "}).status_code == 422


def picture() -> bytes:
    content = io.BytesIO()
    Image.new("RGB", (640, 480), "#556677").save(content, "JPEG")
    return content.getvalue()


def test_a_photo_is_kept_shown_and_removed_with_undo(
    client: CheckedClient, book: BenchBook, car: str
) -> None:
    files = {"photo": ("x.jpg", picture(), "text/html")}
    answer = client.post(f"{car}/photos", data={"caption": HOSTILE}, files=files)
    assert answer.status_code == 303
    photo = show_car(book, number(car)).photos[0]
    served = client.get(f"/photos/{photo.sha256}?size=320")
    assert served.headers["content-type"] == "image/webp"
    assert Image.open(io.BytesIO(served.content)).size == (320, 240)
    assert "&lt;script&gt;alert" in client.get(car).text
    client.post(f"/remove/photo/{photo.id}", data={"back": f"{car}#photos"})
    assert photo.sha256 not in client.get(car).text
    client.post(f"/undo/photo/{photo.id}", data={"back": car})
    assert photo.sha256 in client.get(car).text


@pytest.mark.parametrize("content", [b"", b"not a photo", b"\xff\xd8\xff\xe0cut", b"<svg/>"])
def test_what_is_no_photo_is_refused(client: CheckedClient, car: str, content: bytes) -> None:
    files = {"photo": ("x.jpg", content, "image/jpeg")}
    response = client.post(f"{car}/photos", data={"caption": "kept"}, files=files)
    assert response.status_code == 422
    assert "The photo is no picture that can be read" in response.text
    assert 'value="kept"' in response.text


@pytest.mark.parametrize("name", ["0" * 64, "..%2f..%2fbench.db", "x"])
def test_no_other_file_is_served_as_a_photo(client: CheckedClient, name: str) -> None:
    assert client.get(f"/photos/{name}").status_code == 404


def test_a_car_is_removed_and_brought_back_without_script(client: CheckedClient, car: str) -> None:
    answer = client.post(f"/remove/car/{number(car)}", data={"back": "/cars"})
    assert answer.headers["location"] == "/cars"
    page = client.get("/cars").text
    assert "The car is removed." in page
    assert "Grey no. 3" not in page
    assert "Grey no. 3" in client.get("/removed").text
    undo = page.split('action="/undo', maxsplit=1)[1].split('"', maxsplit=1)[0]
    assert client.post("/undo" + undo.replace("&amp;", "&")).headers["location"] == "/cars"
    assert "Grey no. 3" in client.get("/cars").text
    assert "Nothing is removed" in client.get("/removed").text


@pytest.mark.parametrize("back", ["https://evil.example", "//evil.example", "/\\evil", "x"])
def test_going_back_never_leaves_the_app(client: CheckedClient, car: str, back: str) -> None:
    answer = client.post(f"/remove/car/{number(car)}", data={"back": back})
    assert answer.headers["location"] == "/"


@pytest.mark.parametrize(
    "address", ["/cars/999", "/cars/x", "/cars/1e3", "/cars/99999999999999999999", "/guide/x"]
)
def test_what_is_not_there(client: CheckedClient, address: str) -> None:
    assert client.get(address).status_code == 404


def test_posting_to_what_is_not_there(client: CheckedClient) -> None:
    typed = {"readings_g": "37", "scale_resolution_g": "0.1"}
    assert client.post("/cars/999/weighings", data=typed).status_code == 404
    assert client.post("/remove/car/999").status_code == 404
    assert client.post("/remove/house/1").status_code == 404
