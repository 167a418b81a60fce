"""Write the schema files anew from the code."""

import json

from analysis.engine.schemas import HERE, documents

for name, document in documents().items():
    text = json.dumps(document, indent=1, ensure_ascii=False)
    (HERE / f"{name}.schema.json").write_text(text + "\n", encoding="utf-8")
