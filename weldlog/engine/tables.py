"""The reader of the tab-separated tables beside this module."""

from importlib.resources import files

from weldlog.engine.written import joined


def rows(name: str) -> list[dict[str, str]]:
    """Return the rows of ``tables/<name>`` as texts, by the names in its first line.

    Parameters
    ----------
    name : str
        File name of the table, for example ``alloys.tsv``.

    Raises
    ------
    ValueError
        When a row has more or fewer cells than the first line has names.

    >>> rows("sources_common.tsv")[0]["key"]
    'practice'
    """
    text = files(__package__).joinpath("tables", name).read_text(encoding="utf-8")
    head, *lines = joined(text).splitlines()
    names = head.split("\t")
    found = []
    for number, line in enumerate(lines, start=2):
        cells = line.split("\t")
        if len(cells) != len(names):
            raise ValueError(f"{name}, line {number}: {len(cells)} cells, expected {len(names)}.")
        found.append(dict(zip(names, cells, strict=True)))
    return found
