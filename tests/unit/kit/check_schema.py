"""kit.json of the hand-made kit against docs/kit.schema.json (JSON Schema draft 2020-12), with python3-jsonschema.

Usage: check_schema.py WRITER SCHEMA. WRITER writes a kit into the folder it is given. Each damage below must be refused, so
that a schema that allows everything does not pass. Exit 77 = skipped.
"""
import copy
import json
import os
import subprocess
import sys
import tempfile
import xml.etree.ElementTree

try:
    import jsonschema
except ImportError:
    print("skipped: python3-jsonschema is not there")
    sys.exit(77)


def damages(kit):
    """(what, damaged copy) pairs."""
    def damaged(what, change):
        other = copy.deepcopy(kit)
        change(other)
        return what, other
    yield damaged("format", lambda k: k.update(format="kit"))
    yield damaged("version as text", lambda k: k.update(version="1"))
    yield damaged("no pieces", lambda k: k.pop("pieces"))
    yield damaged("colour word", lambda k: k["papers"][0].update(colour="white"))
    yield damaged("relative path", lambda k: k["layers"][0].update(outline="m 0 0 l 1 1 z"))
    yield damaged("exponent", lambda k: k["layers"][0].update(outline="M1e3 0 L1 1 Z"))
    yield damaged("open outline", lambda k: k["pieces"][0].update(outline="M0 0 L1 1 L0 1"))
    yield damaged("five numbers", lambda k: k["pieces"][0]["to_sheet"].pop())
    yield damaged("unknown line", lambda k: k["pieces"][0]["marks"][0].update(line="glue"))
    yield damaged("file elsewhere", lambda k: k["sheets"][0].update(file="../x.svg"))
    yield damaged("piece without sheet", lambda k: k["pieces"][0].pop("sheet"))
    yield damaged("one piece at a seam", lambda k: k["seams"][0]["pieces"].pop())
    yield damaged("negative length", lambda k: k["seams"][0].update(length_mm=-1))
    yield damaged("no cutter", lambda k: k.pop("cutter"))
    yield damaged("cutter without loss", lambda k: k.update(cutter={"name": "a", "mat_mm": [1, 2], "tools": []}))
    yield damaged("unknown direction", lambda k: k["papers"][0].update(direction="free"))
    yield damaged("unknown tool", lambda k: k["papers"][0].update(takes=["glue"]))
    yield damaged("a tool twice", lambda k: k["papers"][0].update(takes=["pen", "pen"]))
    yield damaged("board of one side", lambda k: k["papers"][0].update(board_mm=[100]))
    yield damaged("pack of none", lambda k: k["papers"][0].update(pack={"count": 0, "price": 1}))
    yield damaged("part of a spare", lambda k: k["papers"][0]["to_buy"].update(spares=0.5))
    yield damaged("no cost", lambda k: k["totals"].pop("cost"))


    yield damaged("unknown form", lambda k: k.update(sheets_for="colour"))
    if kit["sheets_for"] == "line":
        yield damaged("no files", lambda k: k["sheets"][0].pop("files"))
        yield damaged("no file of cuts", lambda k: k["sheets"][0]["files"].pop("cut"))
        yield damaged("file of a line that is none", lambda k: k["sheets"][0]["files"].update(glue="sheets/x.svg"))
    if kit["sheets_for"] == "layer":
        yield damaged("no offset", lambda k: k["sheets"][0].pop("offset_mm"))
        yield damaged("offset of three", lambda k: k["sheets"][0]["offset_mm"].append(0))


def check_form(writer, form, validator):
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([writer, folder, form], check=True)
        with open(os.path.join(folder, "kit.json"), encoding="utf-8") as file:
            kit = json.load(file)
        for sheet in kit["sheets"]:
            for name in [sheet["file"], *sheet.get("files", {}).values()]:
                root = xml.etree.ElementTree.parse(os.path.join(folder, name)).getroot()
                assert root.tag == "{http://www.w3.org/2000/svg}svg", root.tag
                ids = [element.get("id") for element in root.iter() if element.get("id")]
                assert len(ids) == len(set(ids)), f"{name}: an id comes twice"
        xml.etree.ElementTree.parse(os.path.join(folder, "key-plan.svg"))
    errors = [f"{'/'.join(map(str, e.absolute_path))}: {e.message}" for e in validator.iter_errors(kit)]
    taken = [what for what, other in damages(kit) if validator.is_valid(other)]
    print(f"{form}: {len(errors)} errors in the good kit, {len(taken)} damaged kits taken")
    return errors + taken


def main():
    writer, schema_path = sys.argv[1:3]
    with open(schema_path, encoding="utf-8") as file:
        schema = json.load(file)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    wrong = [line for form in ("sheet", "piece", "layer", "line") for line in check_form(writer, form, validator)]
    print("\n".join(wrong))
    sys.exit(1 if wrong else 0)


main()
