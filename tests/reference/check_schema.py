"""Checks summary.json files against assets/summary.schema.json, and the schema against JSON Schema 2020-12.

    python3 tests/reference/check_schema.py SUMMARY.json...

Exit status 1 when a file breaks the schema; the sentence says where. Needs jsonschema 4.26.0.
"""

import json
import pathlib
import sys

from jsonschema import Draft202012Validator

SCHEMA = pathlib.Path(__file__).parents[2] / "assets" / "summary.schema.json"


def main(paths):
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    failed = False
    for path in paths:
        summary = json.loads(pathlib.Path(path).read_text(encoding="utf-8"))
        errors = list(validator.iter_errors(summary))
        failed |= bool(errors)
        print(f"{path}: {len(summary['figures'])} figures, {len(errors)} places break the schema")
        for error in errors[:20]:
            print(f"  {error.json_path}: {error.message[:200]}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
