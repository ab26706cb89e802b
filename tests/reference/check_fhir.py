"""Checks FHIR bundles that the program wrote against fhir.resources (R4B, which differs from R4 in no
element that is used here), and against rules of FHIR R4 that no model checks.

    python3 tests/reference/check_fhir.py BUNDLE.json...

Exit status 1 when a bundle breaks a rule; the sentence says which. Needs fhir.resources 8.3.0.
"""

import base64
import hashlib
import json
import re
import sys
from decimal import Decimal

from fhir.resources.R4B.bundle import Bundle

STATUS = {
    "Observation": {"registered", "preliminary", "final", "amended", "corrected", "cancelled",
                    "entered-in-error", "unknown"},
    "DiagnosticReport": {"registered", "partial", "preliminary", "final", "amended", "corrected", "appended",
                         "cancelled", "entered-in-error", "unknown"},
}
# FHIR R4, datatypes: a time of day needs its offset.
DATE_TIME = re.compile(r"^\d{4}(-\d\d(-\d\d(T\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d))?)?)?$")


def walk(value, see, path="Bundle"):
    see(value, path)
    if isinstance(value, dict):
        for key, inner in value.items():
            walk(inner, see, f"{path}.{key}")
    elif isinstance(value, list):
        for at, inner in enumerate(value):
            walk(inner, see, f"{path}[{at}]")


def broken(text):
    """Sentences about what is wrong with a bundle."""
    wrong = []
    raw = json.loads(text, parse_float=Decimal)
    try:
        Bundle.model_validate_json(text)
    except Exception as error:  # every failure of the model is a finding
        wrong.append(f"fhir.resources refuses it: {error}")
    urls = [entry["fullUrl"] for entry in raw["entry"]]
    if len(urls) != len(set(urls)):
        wrong.append("two entries share an address")

    def see(value, path):
        if value is None or value == [] or value == {} or value == "":
            wrong.append(f"{path} is empty")
        if not isinstance(value, dict):
            return
        if "reference" in value and value["reference"] not in urls:
            wrong.append(f"{path} leads to {value['reference']}, which is not there")
        kind = value.get("resourceType")
        if kind in STATUS and value.get("status") not in STATUS[kind]:
            wrong.append(f"{path} has the status {value.get('status')}")
        if "hash" in value:
            data = base64.b64decode(value["data"], validate=True)
            if len(data) != value["size"]:
                wrong.append(f"{path} holds {len(data)} bytes, its size says {value['size']}")
            if base64.b64encode(hashlib.sha1(data).digest()).decode() != value["hash"]:
                wrong.append(f"{path} has another hash than it says")
        for key in ("start", "end", "issued", "recorded", "timestamp", "creation"):
            if isinstance(value.get(key), str) and not DATE_TIME.match(value[key]):
                wrong.append(f"{path}.{key} is no FHIR time: {value[key]}")
        if kind == "Observation":
            values = [key for key in value if key.startswith("value") or key == "dataAbsentReason"]
            if len(values) != 1:
                wrong.append(f"{path} has {len(values)} values")

    walk(raw, see)
    return wrong


def main(paths):
    failed = False
    for path in paths:
        with open(path, encoding="utf-8") as file:
            text = file.read()
        wrong = broken(text)
        failed |= bool(wrong)
        print(f"{path}: {len(json.loads(text)['entry'])} entries, {len(wrong)} rules broken")
        for sentence in wrong[:20]:
            print(f"  {sentence}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
