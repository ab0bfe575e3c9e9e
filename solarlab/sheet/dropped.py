"""Files dragged onto the desk: a field of the browser's own, which takes drops and clicks.

What is dropped travels as text through a hidden box, is written to a folder that lasts as long as the desk,
and its path stands in the visible box, where any path may be typed instead.
"""

from __future__ import annotations

import base64
import binascii
import json
import tempfile
from html import escape
from pathlib import Path

MOST = 30_000_000  # bytes of one file: logs and weather files are far smaller
SEND = (
    "const box=this.closest('.solarlab-dropped').querySelector('textarea');"
    "Promise.all([...this.files].map(f=>new Promise(d=>{const r=new FileReader();"
    "r.onload=()=>d({name:f.name,data:r.result.split(',')[1]||''});r.readAsDataURL(f)})))"
    ".then(a=>{box.value=JSON.stringify(a);box.dispatchEvent(new Event('change',{bubbles:true}))})"
)


def kept(sent: str, folder: Path) -> list[Path]:
    """Write the files that the page sent, as JSON ``[{"name", "data": base64}]``, and return their paths.

    ValueError: what came is not that, or a file is larger than `MOST`.
    """
    try:
        files = [(f"{one['name']}", base64.b64decode(one["data"], validate=True)) for one in json.loads(sent)]
    except (json.JSONDecodeError, TypeError, KeyError, binascii.Error):
        raise ValueError("the files did not arrive whole; drop them again, or type their paths.") from None
    paths = []
    for name, data in files:
        if len(data) > MOST:
            raise ValueError(f"{name} is larger than {MOST // 1_000_000} MB; type its path instead.")
        path = folder / (Path(name.replace("\\", "/")).name or "file")
        path.write_bytes(data)
        paths.append(path)
    return paths


def dropping(box, label: str, several: bool, complain):
    """A field for files that fills ``box`` with the paths of what is dropped; ``complain`` takes errors."""
    import ipywidgets as widgets

    folder = tempfile.TemporaryDirectory(prefix="solarlab-desk-")
    wide = ' multiple=""' if several else ""
    asked = widgets.HTML(
        f'<label>{escape(label)} <input type="file"{wide} aria-label="{escape(label)}" '
        f'onchange="{escape(SEND)}" style="border:1px dashed #555;padding:4px"></label>'
    )
    carried = widgets.Textarea(layout={"display": "none"})

    def arrived(change) -> None:
        if not change["new"]:
            return
        carried.value = ""
        try:
            box.value = "; ".join(str(path) for path in kept(change["new"], Path(folder.name)))
        except (ValueError, OSError) as error:
            complain(error)

    carried.observe(arrived, "value")
    whole = widgets.VBox([asked, carried])
    whole.add_class("solarlab-dropped")
    whole.folder = folder  # lives as long as the field does
    return whole
