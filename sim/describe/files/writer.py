"""YAML as a person would write it."""

from typing import Any

import yaml


def as_yaml(data: Any) -> str:
    """Return data as YAML, keys in their order."""
    # in the order of the model, which is the order in which people read
    text: str = yaml.safe_dump(data, sort_keys=False, allow_unicode=True, width=120)
    return text
