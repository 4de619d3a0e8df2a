"""Laws of packages: readers read back what was written, no name leaves its folder, no two texts meet."""

from __future__ import annotations

import io
import unicodedata
import zipfile

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from itembank.errors import DomainError
from itembank.writers.package import (
    PATH_BYTES,
    SEGMENT_BYTES,
    PackagePath,
    PackageWriter,
    compress,
    file_name,
)

# Characters that matter to some system, among any others, surrogates included.
_hostile = st.text(st.sampled_from('aAbé.. /\\:*?"<>|\0\n\x7f-_0¹CONnul\u202e\u0301ſK') | st.characters())
_paths = st.lists(st.text(st.sampled_from("abcxyzéλ二-_7 ."), min_size=1, max_size=9), min_size=1, max_size=3)
_contents = st.binary(max_size=300) | st.binary(max_size=9).map(lambda word: word * 99)


def _is_accepted(text: str) -> bool:
    try:
        PackagePath(text)
    except DomainError:
        return False
    return True


@given(_hostile | st.lists(_hostile, max_size=4).map("/".join) | _paths.map("/".join))
def test_a_name_that_is_accepted_stays_inside_and_has_one_spelling(text: str) -> None:
    if not _is_accepted(text):
        return
    segments = text.split("/")

    assert not {"", ".", ".."} & set(segments)
    assert not any(character in '\\:*?"<>|' for character in text)
    assert not any(unicodedata.category(character)[0] == "C" for character in text)
    assert text == unicodedata.normalize("NFC", text)
    assert text == "/".join(segment.rstrip(". ") for segment in segments)
    assert all(len(segment.encode()) <= SEGMENT_BYTES for segment in segments)
    assert len(text.encode()) <= PATH_BYTES


@given(_hostile, st.sampled_from(["", ".xml", ".tar.gz"]))
def test_any_text_gives_one_small_ascii_segment_that_a_package_takes(text: str, suffix: str) -> None:
    name = file_name(text, suffix)

    assert name == str(PackagePath(name))
    assert name.endswith(suffix)
    assert set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-_.")
    assert "/" not in name


_alike = st.lists(st.text(st.sampled_from("aA-_ .é"), max_size=4) | _hostile, min_size=2, max_size=30)


@given(_alike)
def test_different_texts_and_their_own_file_names_all_have_different_file_names(texts: list[str]) -> None:
    everything = {*texts, *(file_name(text, "") for text in texts)}

    assert len(everything) == len({file_name(text, "") for text in everything})


@given(st.dictionaries(_paths.map("/".join), _contents, max_size=12), st.data())
@settings(deadline=None)
def test_what_is_written_at_once_or_in_pieces_is_read_back(
    files: dict[str, bytes], data: st.DataObject
) -> None:
    file, expected = io.BytesIO(), {}
    with PackageWriter(file) as package:
        for name, content in files.items():
            try:
                path = PackagePath(name)
                if data.draw(st.booleans()):
                    package.add(compress(path, content))
                else:
                    with package.open(path) as out:
                        for byte in content:
                            out.write(bytes([byte]))
            except DomainError:
                continue
            expected[name] = content

    with zipfile.ZipFile(file) as reader:
        assert reader.testzip() is None
        assert list(expected.items()) == [(name, reader.read(name)) for name in reader.namelist()]


@given(
    word=st.binary(min_size=1, max_size=60),
    times=st.integers(1000, 9000),
    pieces=st.lists(st.integers(1, 200_000), max_size=20),
)
@settings(deadline=None, max_examples=40)
def test_the_pieces_in_which_content_comes_leave_no_trace(word: bytes, times: int, pieces: list[int]) -> None:
    content = word * times
    whole, split = io.BytesIO(), io.BytesIO()
    with PackageWriter(whole) as package, package.open(PackagePath("a")) as out:
        out.write(content)
    with PackageWriter(split) as package, package.open(PackagePath("a")) as out:
        start = 0
        for length in pieces:
            out.write(content[start : start + length])
            start += length
        out.write(content[start:])

    assert whole.getvalue() == split.getvalue()


@given(st.lists(st.text(st.sampled_from("aAbBßé/"), min_size=1, max_size=5), max_size=15))
def test_no_two_members_of_a_package_meet_where_capitals_do_not_count(names: list[str]) -> None:
    file = io.BytesIO()
    with PackageWriter(file) as package:
        for name in names:
            try:
                package.add(compress(PackagePath(name), b""))
            except DomainError:
                continue

    with zipfile.ZipFile(file) as reader:
        kept = reader.namelist()
    assume(kept)
    folded = [name.casefold() for name in kept]
    folders = {name[:end] for name in kept for end in range(len(name)) if name[end] == "/"}
    assert len(folded) == len(set(folded))
    assert len(folders) == len({folder.casefold() for folder in folders})
    assert not {folder.casefold() for folder in folders} & set(folded)
