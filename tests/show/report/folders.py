"""What fills a folder of results in the tests, what fails to, and what is in it."""

import json
from pathlib import Path

from sim.show.report.write import MARKER


def results(*names: str, text: str = "first"):
    """What fills a folder: a record and files of these names."""

    def files(into: Path) -> None:
        (into / MARKER).write_text(json.dumps({"made by": "jounce 0.1.0", "text": text}))
        for name in names:
            (into / name).write_text(text)

    return files


def snapshot(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, hidden ones too, and every folder."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() if path.is_file() else b"<folder>"
        for path in sorted(folder.rglob("*"))
    }


def failing(error: BaseException):
    def files(into: Path) -> None:
        results("summary.csv", text="half")(into)
        (into / "sub").mkdir()
        raise error

    return files
