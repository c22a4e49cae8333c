"""What a PDF needs beyond its marks: layers that can be switched, and colours that are bound."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from pikepdf import Object, Page, Pdf

Groups = dict[str, "Object"]
"""Optional content group of each layer, by its name."""

_DATE_AT: Final = 24
_DATE: Final = b"".join(part.to_bytes(2, "big") for part in (2000, 1, 1, 0, 0, 0))


@dataclass(frozen=True, slots=True)
class LayerName:
    """A layer of a page.

    Attributes
    ----------
    name
        Of the layer; layers of one name on several pages are one.
    printed
        Whether a printer prints it.
    """

    name: str
    printed: bool


@cache
def srgb_profile() -> bytes:
    """Return an ICC profile of sRGB (IEC 61966-2-1), made by LittleCMS.

    Its date is fixed, so that the same sheet gives the same bytes.
    """
    from PIL import ImageCms

    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return profile[:_DATE_AT] + _DATE + profile[_DATE_AT + len(_DATE) :]


def finish(data: bytes, pages: Sequence[Sequence[LayerName]], language: str) -> bytes:
    """Return a PDF with its layers, its output intent and its language.

    Parameters
    ----------
    data
        A PDF with a page for each layer.
    pages
        The layers of each page that it is to have; a document whose layers all have one name
        gets no switch for it.
    language
        Of its words, as a language tag.
    """
    import pikepdf

    written = BytesIO()
    with pikepdf.open(BytesIO(data)) as pdf:
        profile = pdf.make_stream(srgb_profile(), N=3, Alternate=pikepdf.Name.DeviceRGB)
        space = pdf.make_indirect(pikepdf.Array([pikepdf.Name.ICCBased, profile]))
        groups = _groups(pdf, pages)
        drawn = list(pdf.pages)
        for layers in pages:
            count = max(len(layers), 1)
            pdf.pages.append(_joined(pdf, drawn[:count], layers, groups, space))
            drawn = drawn[count:]
        del pdf.pages[: len(pdf.pages) - len(pages)]
        if len(groups) > 1:
            pdf.Root.OCProperties = _switches(list(groups.values()))
        pdf.Root.OutputIntents = pikepdf.Array([pdf.make_indirect(_intent(profile))])
        pdf.Root.Lang = pikepdf.String(language)
        pdf.remove_unreferenced_resources()
        pdf.save(written, deterministic_id=True)
    return written.getvalue()


def _joined(
    pdf: Pdf, sources: Sequence[Page], layers: Sequence[LayerName], groups: Groups, space: Object
) -> Page:
    """Return a page that shows the pages on which its layers were drawn, one over the other."""
    import pikepdf

    forms, calls = pikepdf.Dictionary(), []
    for place, source in enumerate(sources):
        form = pdf.make_indirect(source.as_form_xobject())
        if "/ColorSpace" not in form.Resources:
            form.Resources.ColorSpace = pikepdf.Dictionary()
        form.Resources.ColorSpace.DefaultRGB = space
        if len(groups) > 1:
            form.OC = groups[layers[place].name]
        forms[f"/Layer{place + 1}"] = form
        calls.append(f"/Layer{place + 1} Do")
    content = pikepdf.Dictionary(
        Type=pikepdf.Name.Page,
        MediaBox=sources[0].mediabox,
        Resources=pikepdf.Dictionary(XObject=forms),
        Contents=pdf.make_stream("\n".join(calls).encode("ascii")),
    )
    return pikepdf.Page(pdf.make_indirect(content))


def _groups(pdf: Pdf, pages: Sequence[Sequence[LayerName]]) -> Groups:
    """Return an optional content group for each name of a layer."""
    import pikepdf

    groups: dict[str, Object] = {}
    for layer in (layer for layers in pages for layer in layers):
        state = pikepdf.Name.ON if layer.printed else pikepdf.Name.OFF
        usage = pikepdf.Dictionary(Print=pikepdf.Dictionary(PrintState=state))
        group = pikepdf.Dictionary(
            Type=pikepdf.Name.OCG, Name=pikepdf.String(layer.name), Usage=usage
        )
        if layer.name not in groups:
            groups[layer.name] = pdf.make_indirect(group)
    return groups


def _switches(groups: list[Object]) -> Object:
    import pikepdf

    printing = pikepdf.Dictionary(
        Event=pikepdf.Name.Print,
        OCGs=pikepdf.Array(groups),
        Category=pikepdf.Array([pikepdf.Name.Print]),
    )
    default = pikepdf.Dictionary(
        Name=pikepdf.String("Layers"),
        Order=pikepdf.Array(groups),
        ON=pikepdf.Array(groups),
        OFF=pikepdf.Array(),
        AS=pikepdf.Array([printing]),
    )
    return pikepdf.Dictionary(OCGs=pikepdf.Array(groups), D=default)


def _intent(profile: Object) -> Object:
    """Name sRGB as what the colours mean."""
    import pikepdf

    return pikepdf.Dictionary(
        Type=pikepdf.Name.OutputIntent,
        S=pikepdf.Name.GTS_PDFA1,
        OutputConditionIdentifier=pikepdf.String("sRGB IEC61966-2.1"),
        RegistryName=pikepdf.String("http://www.color.org"),
        DestOutputProfile=profile,
    )
