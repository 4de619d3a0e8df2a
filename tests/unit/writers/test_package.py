"""The zip containers: names, bytes, Zip64 records, and what is refused. zipfile reads them back."""

from __future__ import annotations

import hashlib
import io
import os
import pickle
import re
import shutil
import struct
import subprocess
import sys
import tracemalloc
import zipfile
import zlib
from pathlib import Path

import pytest

from itembank.errors import DomainError
from itembank.writers.package import (
    DEFLATED,
    PATH_BYTES,
    SEGMENT_BYTES,
    STORED,
    Member,
    PackagePath,
    PackageWriter,
    compress,
    file_name,
)

FOUR_GIB = 1 << 32


class FarFile(io.BytesIO):
    """A file that says it stands `base` bytes further on than it does; what lies before reads as zeros."""

    def __init__(self, base: int) -> None:
        super().__init__()
        self._base = base

    def tell(self) -> int:
        return self._base + super().tell()

    def seek(self, offset: int, whence: int = os.SEEK_SET) -> int:
        if whence != os.SEEK_SET:
            return self._base + super().seek(offset, whence)
        if offset < self._base:
            raise AssertionError("nobody should look before the package")
        return self._base + super().seek(offset - self._base)


def member(name: str, content: bytes = b"<item/>") -> Member:
    return compress(PackagePath(name), content)


def package_of(*members: Member) -> bytes:
    file = io.BytesIO()
    with PackageWriter(file) as package:
        for each in members:
            package.add(each)
    return file.getvalue()


def contents(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        assert package.testzip() is None
        return {name: package.read(name) for name in package.namelist()}


@pytest.mark.parametrize(
    "text",
    [
        "imsmanifest.xml",
        "items/vertex-form-7.xml",
        "a b/c d (2).txt",
        "-_~#%&+=@!$'[]{};,.x",
        "console/comet.xml",
        "übungen/τετράγωνο-二次.xml",
        "हिन्दी/٣.xml",
        "a" * SEGMENT_BYTES,
        "/".join(["a" * 99, "b" * 100]),
    ],
)
def test_a_name_that_every_system_can_unpack_is_kept_as_it_is(text: str) -> None:
    assert text == str(PackagePath(text))


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "a segment ''"),
        ("/etc/passwd", "absolute"),
        ("//server/share", "absolute"),
        ("C:/marks.csv", "the character ':'"),
        ("c:marks.csv", "the character ':'"),
        ("..", "a segment '..'"),
        ("../marks.csv", "a segment '..'"),
        ("items/../../marks.csv", "a segment '..'"),
        ("./items", "a segment '.'"),
        ("items//a.xml", "a segment ''"),
        ("items/", "a segment ''"),
        ("items\\a.xml", "the character '\\\\'"),
        *((f"a{character}b", "the character") for character in ':*?"<>|'),
        ("a\x00b", "the character '\\x00'"),
        ("a\nb", "the character '\\n'"),
        ("a\x7fb", "the character '\\x7f'"),
        ("a\x85b", "neither ASCII nor"),
        ("a\u202eb", "neither ASCII nor"),
        ("a\u200bb", "neither ASCII nor"),
        ("a\u2044b", "neither ASCII nor"),
        ("a\uff0fb", "neither ASCII nor"),
        ("a\ud800b", "neither ASCII nor"),
        ("a\U0001f600b", "neither ASCII nor"),
        ("cafe\u0301.xml", "form NFC"),
        ("items./a", "ends in '.'"),
        ("a.xml.", "ends in '.'"),
        ("a ", "ends in ' '"),
        ("items /a", "ends in ' '"),
        ("...", "ends in '.'"),
        ("CON", "device"),
        ("items/nul.xml", "device"),
        ("Aux.tar.gz", "device"),
        ("com1", "device"),
        ("LPT9.txt", "device"),
        ("com¹.txt", "device"),
        ("prn .txt", "device"),
        ("CONIN$", "device"),
        ("a" * (SEGMENT_BYTES + 1), "longer than 120 bytes"),
        ("é" * 61, "longer than 120 bytes"),
        ("/".join(["a" * 100, "b" * 100]), f"longer than {PATH_BYTES} bytes"),
    ],
)
def test_a_name_that_some_system_would_misread_is_refused_with_the_reason(text: str, reason: str) -> None:
    with pytest.raises(DomainError, match=re.escape(reason)):
        PackagePath(text)


def test_a_name_cannot_be_changed_once_it_is_checked() -> None:
    with pytest.raises(AttributeError):
        PackagePath("a.xml").text = "../a.xml"  # type: ignore[misc]


@pytest.mark.parametrize("text", ["vertex-form", "a", "quiz_2", "7", "b" * 80, "nothing", "con-1"])
def test_a_text_that_is_a_file_name_already_is_kept(text: str) -> None:
    assert f"{text}.xml" == file_name(text, ".xml")


@pytest.mark.parametrize(
    ("text", "stem"),
    [
        ("", "unnamed"),
        ("  ", "unnamed"),
        ("..", "unnamed"),
        ("../../etc/passwd", "etc-passwd"),
        ("C:\\Windows\\nul", "c-windows-nul"),
        ("Vertex Form", "vertex-form"),
        ("VERTEX-FORM", "vertex-form"),
        ("Évaluation d’algèbre", "evaluation-d-algebre"),
        ("二次方程式", "unnamed"),
        ("Mathe 二次 3", "mathe-3"),
        ("x² − 6x + 1", "x2-6x-1"),
        ("con", "con"),
        ("com1", "com1"),
        ("-rf", "rf"),
        ("quiz.zip", "quiz-zip"),
        ("a\x00b\nc", "a-b-c"),
        ("\ud800", "unnamed"),
        ("c" * 81, "c" * 80),
        ("quiz-0123456789", "quiz-0123456789"),
    ],
)
def test_any_other_text_gives_its_letters_and_ten_digits_of_its_digest(text: str, stem: str) -> None:
    digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:10]

    assert f"{stem}-{digest}.zip" == file_name(text, ".zip")


def test_a_name_made_with_a_digest_is_never_the_name_of_another_text() -> None:
    made = file_name("Quiz", "")

    assert made != file_name(made, "")


@pytest.mark.parametrize("suffix", ["xml", ".", "/..", ".XML", "-key.pdf", ".a.b.c", ".x\n", "." + "a" * 11])
def test_a_suffix_that_is_no_extension_is_refused(suffix: str) -> None:
    with pytest.raises(DomainError, match="suffix"):
        file_name("quiz", suffix)


def test_a_package_holds_its_members_in_the_order_they_came() -> None:
    given = [("b.xml", b"second " * 50), ("a.xml", b""), ("items/é.xml", b"third")]

    package = package_of(*(member(name, content) for name, content in given))

    assert given == [*contents(package).items()]


def test_a_package_without_members_can_be_opened() -> None:
    nothing: dict[str, bytes] = {}

    assert nothing == contents(package_of())


def test_content_is_deflated_only_where_that_is_shorter() -> None:
    repeated, random = bytes(1000), hashlib.sha256(b"no pattern").digest()

    deflated, stored = member("a", repeated), member("a", random)

    expected = [DEFLATED, STORED]
    assert expected == [deflated.method, stored.method]
    assert len(deflated.data) < deflated.size == 1000
    assert random == stored.data


def test_content_that_deflates_to_its_own_length_is_stored() -> None:
    contents_of_equal_length = [
        content
        for content in (b"a" * same + bytes(range(other)) for same in range(20) for other in range(20))
        if len(zlib.compress(content, 6)) - 6 == len(content)
    ]

    assert contents_of_equal_length
    for content in contents_of_equal_length:
        assert content == member("a", content).data


def test_times_and_modes_are_constants_and_only_other_scripts_are_flagged_as_utf_8() -> None:
    with zipfile.ZipFile(io.BytesIO(package_of(member("a.xml"), member("ä.xml")))) as package:
        facts = [
            (each.date_time, each.create_system, each.external_attr >> 16, each.flag_bits, each.extra)
            for each in package.infolist()
        ]

    first_day = (1980, 1, 1, 0, 0, 0)
    assert [(first_day, 3, 0o100644, 0, b""), (first_day, 3, 0o100644, 0x800, b"")] == facts


def test_each_header_says_the_same_as_its_entry_in_the_directory() -> None:
    package = package_of(member("items/a.xml", b"x" * 99), member("ö.xml"))
    with zipfile.ZipFile(io.BytesIO(package)) as reader:
        entries = reader.infolist()

    for entry in entries:
        header = struct.unpack_from("<4s5H3L2H", package, entry.header_offset)
        name = entry.filename.encode()
        expected = (b"PK\3\4", 20, entry.flag_bits, entry.compress_type, 0, 33)
        assert (*expected, entry.CRC, entry.compress_size, entry.file_size, len(name), 0) == header
        assert name == package[entry.header_offset + 30 :][: len(name)]


def test_the_same_members_give_the_same_bytes_in_any_process() -> None:
    script = """
import io, sys
from itembank.writers.package import PackagePath, PackageWriter, compress
file = io.BytesIO()
with PackageWriter(file) as package:
    for name in ["items/a.xml", "items/ü.xml"]:
        package.add(compress(PackagePath(name), name.encode() * 40))
    with package.open(PackagePath("imsmanifest.xml")) as out:
        for number in range(9000):
            out.write(f"<resource number='{number}'/>".encode())
sys.stdout.buffer.write(file.getvalue())
"""
    packages = set()
    for seed, zone in [("1", "UTC"), ("2", "Asia/Tokyo")]:
        environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone}
        run = subprocess.run([sys.executable, "-c", script], env=environment, capture_output=True, check=True)
        packages.add(run.stdout)

    (package,) = packages
    expected = ["items/a.xml", "items/ü.xml", "imsmanifest.xml"]
    assert expected == [*contents(package)]


def test_a_member_comes_back_from_another_process_as_it_was() -> None:
    made = member("items/ü.xml", b"content " * 30)

    assert made == pickle.loads(pickle.dumps(made))


def test_a_streamed_member_holds_what_the_member_compressed_at_once_holds() -> None:
    content = b"".join(b"<resource identifier='item-%d'/>\n" % number for number in range(50_000))
    file = io.BytesIO()
    with PackageWriter(file) as package, package.open(PackagePath("imsmanifest.xml")) as out:
        for start in range(0, len(content), 777):
            out.write(content[start : start + 777])

    at_once = contents(package_of(member("imsmanifest.xml", content)))
    assert {"imsmanifest.xml": content} == at_once == contents(file.getvalue())


def test_an_empty_streamed_member_can_be_read() -> None:
    file = io.BytesIO()
    with PackageWriter(file) as package, package.open(PackagePath("empty.txt")):
        pass

    expected = {"empty.txt": b""}
    assert expected == contents(file.getvalue())


def test_members_may_be_added_while_another_is_collected() -> None:
    file = io.BytesIO()
    with PackageWriter(file) as package, package.open(PackagePath("manifest.xml")) as out:
        for name in ("a.xml", "b.xml"):
            package.add(member(name))
            out.write(name.encode())

    expected = {"a.xml": b"<item/>", "b.xml": b"<item/>", "manifest.xml": b"a.xmlb.xml"}
    assert expected == contents(file.getvalue())


def test_a_streamed_member_whose_writing_fails_is_dropped_and_the_others_stay() -> None:
    def fail(package: PackageWriter) -> None:
        with package.open(PackagePath("manifest.xml")) as out:
            out.write(b"half")
            raise KeyError

    file = io.BytesIO()
    with PackageWriter(file) as package:
        with pytest.raises(KeyError):
            fail(package)
        package.add(member("a.xml"))

    expected = {"a.xml": b"<item/>"}
    assert expected == contents(file.getvalue())


def test_nothing_can_be_written_to_a_streamed_member_once_it_is_whole() -> None:
    with PackageWriter(io.BytesIO()) as package:
        with package.open(PackagePath("manifest.xml")) as out:
            out.write(b"all")
        with pytest.raises(DomainError, match="whole"):
            out.write(b"more")


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("a.xml", "a.xml"),
        ("a.xml", "A.xml"),
        ("items/é.xml", "items/É.xml"),
        ("straße", "STRASSE"),
        ("items/a.xml", "Items/b.xml"),
        ("x/items/a.xml", "x/Items/deep/b.xml"),
        ("items", "items/a.xml"),
        ("items", "ITEMS/a/b.xml"),
        ("items/a.xml", "items"),
        ("items/a/b.xml", "Items"),
    ],
)
def test_names_that_meet_on_some_system_are_refused_in_one_package(first: str, second: str) -> None:
    package = PackageWriter(io.BytesIO())
    package.add(member(first))

    with pytest.raises(DomainError, match="in the package"):
        package.add(member(second))


def test_a_refused_member_leaves_the_package_as_it_was() -> None:
    file = io.BytesIO()
    with PackageWriter(file) as package:
        package.add(member("a.xml"))
        with pytest.raises(DomainError, match="taken"):
            package.add(member("A.xml", b"other"))
        with pytest.raises(DomainError, match="taken"), package.open(PackagePath("a.xml")):
            pass
        package.add(member("b.xml"))

    expected = {"a.xml": b"<item/>", "b.xml": b"<item/>"}
    assert expected == contents(file.getvalue())


def test_the_name_of_a_streamed_member_is_taken_from_its_opening_on() -> None:
    package = PackageWriter(io.BytesIO())

    with package.open(PackagePath("manifest.xml")), pytest.raises(DomainError, match="taken"):
        package.add(member("manifest.xml"))


def test_after_an_exception_no_directory_is_written() -> None:
    def fail(package: PackageWriter) -> None:
        with package:
            package.add(member("a.xml"))
            raise KeyError

    file = io.BytesIO()
    package = PackageWriter(file)
    with pytest.raises(KeyError):
        fail(package)

    assert not zipfile.is_zipfile(file)
    with pytest.raises(DomainError, match="broke off"):
        package.close()


def test_a_package_whose_file_refuses_bytes_is_never_closed_as_whole() -> None:
    class FullDisk(io.BytesIO):
        def write(self, data: object) -> int:
            raise OSError(28, "No space left on device")

    package = PackageWriter(FullDisk())
    with pytest.raises(OSError, match="No space left"):
        package.add(member("a.xml"))

    with pytest.raises(DomainError, match="broke off"):
        package.add(member("b.xml"))
    with pytest.raises(DomainError, match="broke off"):
        package.close()


def test_a_package_is_not_closed_while_a_member_is_being_collected() -> None:
    package = PackageWriter(io.BytesIO())
    with pytest.raises(DomainError, match="broke off"), package.open(PackagePath("manifest.xml")):
        package.close()


def test_a_closed_package_takes_no_member_and_closing_it_twice_changes_nothing() -> None:
    file = io.BytesIO()
    with PackageWriter(file) as package:
        package.close()
    whole = file.getvalue()

    with pytest.raises(DomainError, match="is closed"):
        package.add(member("a.xml"))
    package.close()
    assert whole == file.getvalue()


@pytest.mark.parametrize("count", [65_534, 65_535, 65_536])
def test_zip64_records_come_with_the_65_535th_member(count: int) -> None:
    file = io.BytesIO()
    with PackageWriter(file) as package:
        for number in range(count):
            package.add(Member(PackagePath(f"{number}"), 0, 0, b"", STORED))

    assert (count >= 65_535) == (b"PK\6\6" in file.getvalue()[-200:])
    with zipfile.ZipFile(file) as reader:
        assert count == len(reader.namelist())


@pytest.fixture(scope="module")
def large_package(tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("large") / "bank.zip"
    with target.open("wb") as file, PackageWriter(file) as package:
        for number in range(70_000):
            package.add(member(f"items/{number % 7}/{number}.xml", b"<item>%d</item>" % number))
    return target


def test_a_package_of_70_000_members_opens_and_every_member_is_right(large_package: Path) -> None:
    with zipfile.ZipFile(large_package) as reader:
        names, first_wrong, last = reader.namelist(), reader.testzip(), reader.read("items/6/69999.xml")

    expected = [f"items/{number % 7}/{number}.xml" for number in range(70_000)]
    assert expected == names
    assert first_wrong is None
    assert last == b"<item>69999</item>"


@pytest.mark.skipif(shutil.which("unzip") is None, reason="needs the program unzip")
def test_a_package_of_70_000_members_has_no_fault_for_another_reader(large_package: Path) -> None:
    run = subprocess.run(["unzip", "-tqq", large_package], capture_output=True, check=False)

    assert not run.returncode
    assert not run.stdout + run.stderr


@pytest.mark.parametrize("base", [FOUR_GIB - 2, FOUR_GIB - 1, FOUR_GIB, 5 * FOUR_GIB])
def test_members_beyond_four_gib_are_found_again(base: int) -> None:
    contents_written = [b"first " * 20, b"second " * 20]
    file = FarFile(base)
    with PackageWriter(file) as package:
        package.add(member("a.xml", contents_written[0]))
        with package.open(PackagePath("b.xml")) as out:
            out.write(contents_written[1])

    with zipfile.ZipFile(file) as reader:
        offset = reader.getinfo("a.xml").header_offset
        versions = [each.extract_version for each in reader.infolist()]
        read = [reader.read(name) for name in ("a.xml", "b.xml")]

    expected_versions = [20 if base < FOUR_GIB - 1 else 45, 45]
    assert base == offset
    assert expected_versions == versions
    assert contents_written == read


def test_a_directory_beyond_four_gib_is_found_even_if_every_member_is_before() -> None:
    file = FarFile(FOUR_GIB - 40)
    with PackageWriter(file) as package:
        package.add(member("a.xml"))

    with zipfile.ZipFile(file) as reader:
        version, content = reader.getinfo("a.xml").extract_version, reader.read("a.xml")

    assert version == 20
    assert content == b"<item/>"


@pytest.mark.parametrize("size", [FOUR_GIB - 2, FOUR_GIB - 1, FOUR_GIB, 7 * FOUR_GIB])
@pytest.mark.parametrize("base", [0, 2 * FOUR_GIB])
def test_sizes_beyond_four_gib_stand_in_the_directory_and_before_the_member(size: int, base: int) -> None:
    file = FarFile(base)
    with PackageWriter(file) as package:
        package.add(Member(PackagePath("big.csv"), 7, size, b"deflated", DEFLATED))

    is_large = size >= FOUR_GIB - 1
    with zipfile.ZipFile(file) as reader:
        entry = reader.getinfo("big.csv")
        assert (size, 8, base) == (entry.file_size, entry.compress_size, entry.header_offset)
    *_, length, shown_size, _, extra_length = struct.unpack_from("<4s5H3L2H", file.getvalue())
    extra = file.getvalue()[37 : 37 + extra_length]
    assert (struct.pack("<2H2Q", 1, 16, size, 8) if is_large else b"") == extra
    assert ((0xFFFFFFFF, 0xFFFFFFFF) if is_large else (8, size)) == (length, shown_size)


def test_content_that_grows_beyond_four_gib_when_deflated_has_both_sizes_before_it() -> None:
    class LongBytes(bytes):
        def __len__(self) -> int:
            return FOUR_GIB + 9

    file = io.BytesIO()
    with PackageWriter(file) as package:
        package.add(Member(PackagePath("big.csv"), 7, FOUR_GIB - 9, LongBytes(b"deflated"), DEFLATED))

    expected = struct.pack("<2H2Q", 1, 16, FOUR_GIB - 9, FOUR_GIB + 9)
    assert expected == file.getvalue()[37:57]


def test_a_streamed_member_waits_on_disk_not_in_memory() -> None:
    with PackageWriter(io.BytesIO()) as package, package.open(PackagePath("manifest.xml")) as out:
        tracemalloc.start()
        try:
            for _ in range(160):
                out.write(os.urandom(1 << 16))
            held, _ = tracemalloc.get_traced_memory()
        finally:
            tracemalloc.stop()

    assert held < 2 << 20


def test_a_member_leaves_only_its_name_and_its_directory_entry_in_memory() -> None:
    class Nowhere(io.BytesIO):
        def write(self, data: object) -> int:
            return 0

    content = os.urandom(2000)
    package = PackageWriter(Nowhere())
    tracemalloc.start()
    try:
        for number in range(5000):
            package.add(member(f"items/vertex-form-{number}.xml", content))
        held, _ = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()

    assert held < 5000 * 400


def test_the_first_member_stands_first_though_it_is_written_last() -> None:
    file = io.BytesIO()
    with PackageWriter(file) as package:
        with (
            package.first(PackagePath("manifest.xml")) as out,
            package.open(PackagePath("test.xml")) as other,
        ):
            for name in ("a.xml", "items/é.xml"):
                package.add(member(name, name.encode() * 100))
                out.write(name.encode())
                other.write(b"<ref/>")
        package.add(member("later.xml"))

    given = [
        ("manifest.xml", b"a.xml" + "items/é.xml".encode()), ("a.xml", b"a.xml" * 100),
        ("items/é.xml", "items/é.xml".encode() * 100), ("test.xml", b"<ref/>" * 2), ("later.xml", b"<item/>"),
    ]  # fmt: skip
    assert given == [*contents(file.getvalue()).items()]


def test_no_member_can_be_first_behind_another() -> None:
    def second(package: PackageWriter) -> None:
        with package.first(PackagePath("b.xml")):
            pass

    with PackageWriter(io.BytesIO()) as package:
        package.add(member("a.xml"))
        with pytest.raises(DomainError, match="members already"):
            second(package)


def test_a_first_member_that_fails_leaves_no_package() -> None:
    file = io.BytesIO()

    def fail() -> None:
        with PackageWriter(file) as package, package.first(PackagePath("b.xml")):
            package.add(member("a.xml"))
            raise KeyError

    with pytest.raises(KeyError):
        fail()
    assert not zipfile.is_zipfile(file)
