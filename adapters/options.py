"""An adapter's options from the settings, checked, with errors that a person can act on."""

from collections.abc import Mapping
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from otherseat.adapters.nearest import nearest

Options = TypeVar("Options", bound=BaseModel)


def checked(options: Mapping[str, Any], model: type[Options]) -> Options:
    """Return the options as the model; ValueError names the first one that is no use."""
    for name in options:
        if name not in model.model_fields:
            raise ValueError(f"no option {name!r}; did you mean {nearest(name, model.model_fields)}?")
    try:
        return model.model_validate(options)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"])
        raise ValueError(f"{where}: {first['msg'].removeprefix('Value error, ')}") from None
