"""What was found right of a file is found again without judging, by its content alone."""

from __future__ import annotations

from pathlib import Path

from configurator.catalogue import judged_before


def test_only_what_is_right_and_unchanged_is_not_judged_again(tmp_path: Path) -> None:
    path, other = tmp_path / "a.csv", tmp_path / "b.csv"
    asked = []

    def of(file: Path, about: str = "rows") -> str:
        def judge() -> tuple[str, bool]:
            asked.append(file.name)
            text = file.read_text() if file.exists() else "missing"
            return text.upper(), "wrong" not in text and text != "missing"

        return judged_before.once(file, judge, "test", about)

    path.write_text("one")
    other.write_text("one")
    assert [of(path), of(path), of(other)] == ["ONE"] * 3
    assert asked == ["a.csv"]
    # Something else is asked of the same content, and other content of the same file.
    assert of(path, "columns") == "ONE"
    path.write_text("two")
    assert of(path) == "TWO"
    assert asked == ["a.csv"] * 3
    # What is wrong is told each time, and what is not there too.
    path.write_text("wrong")
    assert [of(path), of(path), of(tmp_path / "none.csv"), of(tmp_path / "none.csv")] == [
        "WRONG", "WRONG", "MISSING", "MISSING",
    ]  # fmt: skip
    assert len(asked) == 7


def test_no_more_is_kept_than_is_bounded(tmp_path: Path) -> None:
    asked = []

    def of(file: Path) -> None:
        judged_before.once(file, lambda: (asked.append(file.name), True), "bounded")

    large = tmp_path / "large.csv"
    large.write_bytes(b"x" * (judged_before.MOST_BYTES + 1))
    of(large)
    of(large)
    assert asked == ["large.csv", "large.csv"]
    files = [tmp_path / f"{n}.csv" for n in range(judged_before.MOST_FILES + 1)]
    for number, file in enumerate(files):
        file.write_text(str(number))
        of(file)
    asked.clear()
    of(files[-1])
    assert asked == []
    of(files[0])
    assert asked == ["0.csv"]
