"""Our SARIF output against the JSON schema that OASIS publishes with the standard.

Schema: data/sarif-schema-2.1.0.json, "Static Analysis Results Format (SARIF) Version 2.1.0 JSON Schema".
Usage: sarif.py PATH-OF-WATERKEY
"""

import json
import pathlib
import subprocess
import sys
import tempfile

import jsonschema

HERE = pathlib.Path(__file__).parent
SCORES = {
    "clean.brass": 'brass 1\nplayer Tp1 = trumpet in Bb\nbar 1  meter 4/4  tempo q = 72\nTp1 | q : C5 D5 E5 F5 |\n',
    "with faults é.brass": 'brass 1\nplayer Tp1 = trumpet in Bb\nbar 1  meter 4/4  tempo q = 72\n'
    'Tp1 | q : "𝄞𝄫" C5 d5 zz C1 | q : C5 | q : C5 D5 E5 F5\nNobody | w : C4 |\n',
    "empty.brass": "",
}


def main(waterkey: str) -> None:
    waterkey = str(pathlib.Path(waterkey).resolve())
    schema = json.loads((HERE / "data" / "sarif-schema-2.1.0.json").read_text("utf-8"))
    validator = jsonschema.Draft7Validator(schema, format_checker=jsonschema.Draft7Validator.FORMAT_CHECKER)
    with tempfile.TemporaryDirectory() as folder:
        for name, text in SCORES.items():
            (pathlib.Path(folder) / name).write_text(text, "utf-8")
        (pathlib.Path(folder) / "latin.brass").write_bytes(b"title \"caf\xe9\"\n")
        run = subprocess.run(
            [waterkey, "check", "--format", "sarif", "."], cwd=folder, capture_output=True, timeout=60
        )
        # One score is not UTF-8: the report is whole, the exit status says that something was not read.
        assert run.returncode == 2, run
        log = json.loads(run.stdout)
    faults = [f"{list(fault.absolute_path)}: {fault.message[:300]}" for fault in validator.iter_errors(log)]
    assert not faults, "\n".join(faults)

    # What a schema cannot say.
    run = log["runs"][0]
    rules = run["tool"]["driver"]["rules"]
    assert len({rule["id"] for rule in rules}) == len(rules), "rule ids are unique (3.49.3)"
    for result in run["results"]:
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"], "3.27.6: the index is that of the rule"
        region = result["locations"][0]["physicalLocation"]["region"]
        start = (region["startLine"], region["startColumn"])
        assert start <= (region["endLine"], region["endColumn"]), region
    fixes = [fix for result in run["results"] for fix in result.get("fixes", [])]
    assert fixes, "the faulty score has slips that can be mended"
    named = {
        result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for result in run["results"]
    }
    assert all(" " not in uri for uri in named), named
    print(f"   valid SARIF: {len(run['results'])} results, {len(rules)} rules, {len(fixes)} fixes")


main(sys.argv[1])
