"""Reads exports with fhir.resources, whose models are generated from the definitions of HL7 FHIR.

Reference: fhir.resources, models of release R4B (4.3.0), in which Questionnaire,
QuestionnaireResponse and Observation hold what is used here as in R4 (4.0.1); the R4 schema itself
is used by exports.mjs beside this.

    .reference/python/bin/python tests/reference/exports.py TABLES
"""

import json
import pathlib
import sys

from fhir.resources.R4B.observation import Observation
from fhir.resources.R4B.questionnaire import Questionnaire
from fhir.resources.R4B.questionnaireresponse import QuestionnaireResponse

MODELS = {
    "Questionnaire": Questionnaire,
    "QuestionnaireResponse": QuestionnaireResponse,
    "Observation": Observation,
}


def resources(folder):
    for path in sorted(folder.glob("*.json")):
        resource = json.loads(path.read_text(encoding="utf-8"))
        if resource["resourceType"] == "Bundle":
            for entry in resource["entry"]:
                yield f"{path.name} {entry['fullUrl']}", entry["resource"]
        else:
            yield path.name, resource


def refuses_what_is_wrong():
    try:
        Questionnaire(status="draft", item=[{"linkId": "1", "type": "no-such-type", "answer": 3}])
    except Exception:
        return True
    return False


def main():
    folder = pathlib.Path(sys.argv[1]) / "fhir"
    seen, problems, kinds = 0, 0, set()
    if not refuses_what_is_wrong():
        print("the models refuse nothing")
        return 1
    for name, resource in resources(folder):
        seen += 1
        kinds.add(resource["resourceType"])
        try:
            MODELS[resource["resourceType"]].model_validate(resource)
        except Exception as why:
            problems += 1
            print(f"{name}: {str(why)[:400]}")
    print(f"{seen} resources, {problems} problems")
    return 0 if problems == 0 and seen > 10 and kinds == set(MODELS) else 1


if __name__ == "__main__":
    sys.exit(main())
