"""Output folders: what is replaced, what is refused, and what is left after each way to end."""

from __future__ import annotations

import errno
import fcntl
import os
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from itembank.errors import InputError
from itembank.output_folder import MARKER, restore, whole_folder

MARKER_LINE = "itembank output folder, layout 1\n"


def files(folder: Path) -> dict[str, str]:
    """All files in a folder, hidden ones too, by relative path."""
    return {str(path.relative_to(folder)): path.read_text() for path in folder.rglob("*") if path.is_file()}


def write(target: Path, text: str) -> None:
    with whole_folder(target, "the build") as new:
        (new / "staff").mkdir()
        (new / "staff" / "items.json").write_text(text)


def fail(target: Path, error: BaseException) -> None:
    with whole_folder(target, "the build") as new:
        (new / "half.txt").write_text("half")
        raise error


def holding(text: str) -> dict[str, str]:
    return {MARKER: MARKER_LINE, "staff/items.json": text}


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


@contextmanager
def refused(code: str) -> Iterator[None]:
    with pytest.raises(InputError) as caught:
        yield
    (diagnostic,) = caught.value.diagnostics
    assert code == diagnostic.code
    assert diagnostic.message.startswith("the build cannot go to ")
    assert diagnostic.hint


@pytest.fixture
def target(tmp_path: Path) -> Path:
    return tmp_path / "parent" / "quiz"


@pytest.fixture
def old(target: Path) -> Path:
    """A target that was written before."""
    write(target, "old")
    return target


@pytest.fixture
def dead() -> int:
    """The number of a process that has ended."""
    process = os.posix_spawnp("true", ["true"], os.environ)
    os.waitpid(process, 0)
    return process


def test_a_new_target_is_whole_bears_our_marker_and_has_nothing_beside_it(target: Path) -> None:
    write(target, "new")

    assert holding("new") == files(target)
    assert names(target.parent) == ["quiz"]


def test_the_target_is_not_touched_before_the_end(old: Path) -> None:
    with whole_folder(old, "the build") as new:
        (new / "a.txt").write_text("a")
        during = files(old)
    expected = {MARKER: MARKER_LINE, "a.txt": "a"}

    assert holding("old") == during
    assert expected == files(old)
    assert names(old.parent) == ["quiz"]


def test_a_target_with_our_marker_is_replaced_with_all_it_holds(old: Path) -> None:
    (old / "notes.txt").write_text("by hand")
    write(old, "new")

    assert holding("new") == files(old)


def test_an_empty_target_is_replaced(target: Path) -> None:
    target.mkdir(parents=True)
    write(target, "new")

    assert holding("new") == files(target)


def test_equal_content_gives_equal_folders(tmp_path: Path) -> None:
    for name in ("one", "two"):
        write(tmp_path / name, "same")

    assert files(tmp_path / "one") == files(tmp_path / "two")


def test_the_folder_has_the_mode_of_any_other_new_folder(target: Path, tmp_path: Path) -> None:
    write(target, "new")
    other = tmp_path / "other"
    other.mkdir()

    assert stat.S_IMODE(other.stat().st_mode) == stat.S_IMODE(target.stat().st_mode)


def test_a_relative_target_is_meant_where_the_run_began(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "elsewhere").mkdir()
    monkeypatch.chdir(tmp_path)
    with whole_folder(Path("quiz"), "the build"):
        monkeypatch.chdir(tmp_path / "elsewhere")

    assert names(tmp_path) == ["elsewhere", "quiz"]


def test_a_target_behind_a_linked_parent_or_dots_is_the_folder_meant(tmp_path: Path) -> None:
    (tmp_path / "real" / "inner").mkdir(parents=True)
    (tmp_path / "link").symlink_to(tmp_path / "real" / "inner")
    write(tmp_path / "link" / ".." / "quiz", "new")

    assert names(tmp_path / "real") == ["inner", "quiz"]


def test_a_target_that_ends_in_dots_is_the_folder_meant(old: Path) -> None:
    (old / "inner").mkdir()
    write(old / "inner" / "..", "new")

    assert holding("new") == files(old)
    assert names(old.parent) == ["quiz"]


@pytest.mark.parametrize("error", [KeyError("fault"), KeyboardInterrupt(), SystemExit(2), GeneratorExit()])
def test_after_any_exception_the_old_folder_stands_and_nothing_else(old: Path, error: BaseException) -> None:
    with pytest.raises(type(error)):
        fail(old, error)

    assert holding("old") == files(old)
    assert names(old.parent) == ["quiz"]


def test_after_an_exception_no_folder_is_left_that_was_not_there(tmp_path: Path) -> None:
    with pytest.raises(KeyError):
        fail(tmp_path / "a" / "b" / "quiz", KeyError("fault"))

    assert not names(tmp_path)


def test_after_an_exception_an_empty_target_is_still_there(target: Path) -> None:
    target.mkdir(parents=True)
    with pytest.raises(KeyError):
        fail(target, KeyError("fault"))

    assert names(target.parent) == ["quiz"]
    assert not files(target)


@pytest.mark.parametrize("step", [1, 2])
@pytest.mark.parametrize("when", ["before", "after"])
def test_an_interrupt_at_either_rename_leaves_one_whole_folder(
    old: Path, monkeypatch: pytest.MonkeyPatch, step: int, when: str
) -> None:
    rename, calls = Path.rename, []

    def interrupted(source: Path, destination: Path) -> Path:
        calls.append(source)
        if len(calls) == step and when == "before":
            raise KeyboardInterrupt
        result = rename(source, destination)
        if len(calls) == step and when == "after":
            raise KeyboardInterrupt
        return result

    monkeypatch.setattr(Path, "rename", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write(old, "new")

    expected = "new" if (step, when) == (2, "after") else "old"
    assert holding(expected) == files(old)
    assert names(old.parent) == ["quiz"]


@pytest.mark.parametrize(
    "marker",
    [
        None,
        "",
        "itembank",
        MARKER_LINE.replace("1", "x"),
        MARKER_LINE.replace("1", "1" * 99),
        MARKER_LINE * 2,
    ],
)
def test_a_folder_without_our_marker_is_not_replaced(target: Path, marker: str | None) -> None:
    target.mkdir(parents=True)
    (target / "essay.txt").write_text("mine")
    if marker is not None:
        (target / MARKER).write_text(marker)
    before = files(target)
    with refused("not-our-folder"):
        write(target, "new")

    assert before == files(target)
    assert names(target.parent) == ["quiz"]


@pytest.mark.parametrize("kind", ["link", "folder", "pipe"])
def test_only_a_file_is_a_marker(target: Path, kind: str, tmp_path: Path) -> None:
    target.mkdir(parents=True)
    if kind == "link":
        (tmp_path / "marker").write_text(MARKER_LINE)
        (target / MARKER).symlink_to(tmp_path / "marker")
    elif kind == "folder":
        (target / MARKER).mkdir()
    else:
        os.mkfifo(target / MARKER)

    with refused("not-our-folder"):
        write(target, "new")


def test_a_folder_with_the_marker_of_a_later_layout_is_replaced(old: Path) -> None:
    (old / MARKER).write_text("itembank output folder, layout 12\n")
    write(old, "new")

    assert holding("new") == files(old)


def test_a_folder_that_comes_to_the_target_meanwhile_is_not_replaced(target: Path) -> None:
    def write_late() -> None:
        with whole_folder(target, "the build"):
            target.mkdir()
            (target / "essay.txt").write_text("mine")

    with refused("not-our-folder"):
        write_late()

    expected = {"essay.txt": "mine"}
    assert expected == files(target)
    assert names(target.parent) == ["quiz"]


def test_a_file_is_not_replaced(target: Path) -> None:
    target.parent.mkdir()
    target.write_text("mine")
    with refused("not-a-folder"):
        write(target, "new")

    assert target.read_text() == "mine"


@pytest.mark.parametrize("leads_to", ["old", "nowhere"])
def test_a_link_is_not_replaced(tmp_path: Path, leads_to: str) -> None:
    write(tmp_path / "old", "old")
    link = tmp_path / "quiz"
    link.symlink_to(tmp_path / leads_to)
    with refused("linked-folder"):
        write(link, "new")

    assert link.is_symlink()
    assert holding("old") == files(tmp_path / "old")


def test_the_root_is_not_replaced() -> None:
    with refused("root-folder"):
        write(Path("/"), "new")


@pytest.mark.parametrize("below", ["", "lessons/algebra"])
def test_the_home_folder_and_what_holds_it_is_not_replaced(
    old: Path, monkeypatch: pytest.MonkeyPatch, below: str
) -> None:
    (old / below).mkdir(parents=True, exist_ok=True)
    monkeypatch.setenv("HOME", str(old / below))
    with refused("home-folder"):
        write(old, "new")

    assert holding("old") == files(old)


@pytest.mark.parametrize("below", ["", "staff/deep"])
@pytest.mark.parametrize("spelt", ["absolute", "relative", "linked"])
def test_the_working_folder_and_what_holds_it_is_not_replaced(
    old: Path, monkeypatch: pytest.MonkeyPatch, below: str, spelt: str, tmp_path: Path
) -> None:
    (old / below).mkdir(parents=True, exist_ok=True)
    monkeypatch.chdir(old / below)
    (tmp_path / "link").symlink_to(old.parent)
    relative = Path(*[".."] * len(Path(below).parts))
    target = {"absolute": old, "relative": relative, "linked": tmp_path / "link" / "quiz"}[spelt]
    with refused("working-folder"):
        write(target, "new")

    assert holding("old") == files(old)


def test_a_mounted_disk_is_not_replaced(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os.path, "ismount", lambda path: Path(path) == old)
    with refused("mounted-folder"):
        write(old, "new")


def test_a_parent_that_is_a_file_is_told_plainly(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    with refused("not-writable"):
        write(tmp_path / "file" / "quiz", "new")

    expected = {"file": "mine"}
    assert expected == files(tmp_path)


def test_a_name_too_long_for_the_disk_is_told_plainly(tmp_path: Path) -> None:
    with refused("not-writable"):
        write(tmp_path / ("q" * 250), "new")

    assert not names(tmp_path)


@pytest.mark.parametrize(
    ("number", "code"),
    [
        (errno.ENOSPC, "disk-full"),
        (errno.EDQUOT, "disk-full"),
        (errno.EACCES, "not-writable"),
        (errno.EROFS, "not-writable"),
    ],
)
@pytest.mark.parametrize("call", ["mkdir", "rename", "write_bytes"])
def test_what_the_disk_refuses_at_our_own_steps_is_told_plainly(
    old: Path, monkeypatch: pytest.MonkeyPatch, number: int, code: str, call: str
) -> None:
    original = getattr(Path, call)

    def refuse(path: Path, *arguments: object, **settings: object) -> object:
        if path.parent == old.parent or path.name == MARKER:
            monkeypatch.setattr(Path, call, original)
            raise OSError(number, os.strerror(number), str(path))
        return original(path, *arguments, **settings)

    monkeypatch.setattr(Path, call, refuse)
    with refused(code):
        write(old, "new")

    assert holding("old") == files(old)
    assert names(old.parent) == ["quiz"]


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EDQUOT])
def test_a_disk_that_is_full_while_files_are_written_is_told_plainly(old: Path, number: int) -> None:
    with refused("disk-full"):
        fail(old, OSError(number, os.strerror(number)))

    assert holding("old") == files(old)
    assert names(old.parent) == ["quiz"]


def test_a_file_that_may_not_be_written_inside_is_told_plainly(old: Path) -> None:
    def write_forbidden() -> None:
        with whole_folder(old, "the build") as new:
            raise PermissionError(errno.EACCES, "Permission denied", str(new / "a.txt"))

    with refused("not-writable"):
        write_forbidden()

    assert holding("old") == files(old)


@pytest.mark.parametrize(
    "error",
    [
        FileNotFoundError(errno.ENOENT, "No such file or directory", "bank.yaml"),
        PermissionError(errno.EACCES, "Permission denied", "bank.yaml"),
        BlockingIOError(errno.EAGAIN, "Resource temporarily unavailable"),
    ],
)
def test_an_error_that_is_not_about_the_folder_passes_as_it_is(old: Path, error: OSError) -> None:
    with pytest.raises(type(error)) as caught:
        fail(old, error)

    assert error is caught.value
    assert holding("old") == files(old)


@contextmanager
def as_an_ordinary_user() -> Iterator[None]:
    """Nothing is forbidden to root, so root takes another number for a while."""
    user = os.geteuid()
    if not user:
        os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(user)


def test_a_parent_without_permission_is_told_plainly() -> None:
    with tempfile.TemporaryDirectory() as parent:
        old = Path(parent, "quiz")
        write(old, "old")
        old.parent.chmod(0o555)
        with as_an_ordinary_user(), refused("not-writable"):
            write(old, "new")
        left = names(old.parent)
        old.parent.chmod(0o700)

        assert holding("old") == files(old)
        assert left == ["quiz"]


def test_a_second_run_to_the_same_target_says_so_and_disturbs_nothing(old: Path) -> None:
    with whole_folder(old, "the build") as new:
        (new / "a.txt").write_text("first")
        with refused("folder-in-use"):
            write(old, "second")
        restore(old)
    expected = {MARKER: MARKER_LINE, "a.txt": "first"}

    assert expected == files(old)
    assert names(old.parent) == ["quiz"]


def test_runs_to_neighbouring_targets_do_not_know_each_other(tmp_path: Path) -> None:
    neighbours = [tmp_path / name for name in ("quiz", "quiz.itembank-new-1", ".quiz", "qui*")]
    for outer in neighbours:
        with whole_folder(outer, "the build"):
            for inner in neighbours:
                if inner != outer:
                    write(inner, "new")

    assert sorted(path.name for path in neighbours) == names(tmp_path)


def test_on_a_disk_without_locks_folders_are_written_all_the_same(
    old: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(lock: int, operation: int) -> None:
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(fcntl, "flock", refuse)
    write(old, "new")

    assert holding("new") == files(old)
    assert names(old.parent) == ["quiz"]


def test_a_lock_that_fails_otherwise_is_told_plainly(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(lock: int, operation: int) -> None:
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(fcntl, "flock", refuse)
    with refused("not-writable"):
        write(old, "new")

    assert holding("old") == files(old)


def test_a_lock_whose_file_was_removed_by_its_last_holder_is_taken_anew(
    old: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    flock, inodes = fcntl.flock, []

    def removed_meanwhile(lock: int, operation: int) -> None:
        inodes.append(os.fstat(lock).st_ino)
        if len(inodes) == 1:
            (old.parent / ".quiz.itembank-lock").rename(old.parent / "removed")
        flock(lock, operation)

    monkeypatch.setattr(fcntl, "flock", removed_meanwhile)
    write(old, "new")

    assert len(inodes) == len(set(inodes)) == 2
    assert holding("new") == files(old)


def test_a_lock_file_that_changes_at_every_look_is_given_up(
    old: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os.path, "samestat", lambda one, other: False)
    with refused("folder-in-use"):
        write(old, "new")

    assert holding("old") == files(old)


def test_a_link_in_the_place_of_the_lock_is_not_followed(old: Path) -> None:
    aside(old, "lock").symlink_to(old.parent / "elsewhere")
    with refused("not-writable"):
        write(old, "new")

    assert names(old.parent) == [".quiz.itembank-lock", "quiz"]


def aside(target: Path, kind: str) -> Path:
    return target.parent / f".{target.name}.itembank-{kind}"


def test_restore_moves_the_old_folder_back_where_the_target_is_absent(old: Path, dead: int) -> None:
    old.rename(aside(old, "old"))
    write(aside(old, f"new-{dead}"), "new")
    aside(old, "lock").touch()
    restore(old)

    assert holding("old") == files(old)
    assert names(old.parent) == ["quiz"]


def test_restore_moves_the_old_folder_back_where_the_target_is_empty(old: Path) -> None:
    old.rename(aside(old, "old"))
    old.mkdir()
    restore(old)

    assert holding("old") == files(old)
    assert names(old.parent) == ["quiz"]


def test_restore_removes_the_old_folder_where_the_new_one_stands(old: Path) -> None:
    write(aside(old, "old"), "older")
    restore(old)

    assert holding("old") == files(old)
    assert names(old.parent) == ["quiz"]


@pytest.mark.parametrize("stands", ["a foreign folder", "a file"])
def test_restore_leaves_the_old_folder_aside_where_something_else_stands(old: Path, stands: str) -> None:
    old.rename(aside(old, "old"))
    if stands == "a file":
        old.write_text("mine")
    else:
        old.mkdir()
        (old / "essay.txt").write_text("mine")
    restore(old)

    assert holding("old") == files(aside(old, "old"))
    assert names(old.parent) == [".quiz.itembank-old", "quiz"]


def test_restore_never_takes_a_folder_without_our_marker_for_the_old_one(target: Path) -> None:
    aside(target, "old").mkdir(parents=True)
    (aside(target, "old") / "essay.txt").write_text("mine")
    restore(target)

    assert names(target.parent) == [".quiz.itembank-old"]


def test_restore_removes_the_new_folders_of_processes_that_ended(old: Path, dead: int) -> None:
    for number in (dead, os.getpid(), 9_999_999_999):
        aside(old, f"new-{number}").mkdir()
        (aside(old, f"new-{number}") / "half.txt").write_text("half")
    restore(old)

    assert names(old.parent) == ["quiz"]


def test_restore_leaves_the_new_folder_of_a_living_process(old: Path) -> None:
    living = f"new-{os.getppid()}"
    aside(old, living).mkdir()
    restore(old)

    assert [aside(old, living).name, "quiz"] == names(old.parent)


def test_restore_leaves_the_new_folder_of_a_living_process_of_somebody_else(
    old: Path, dead: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(process: int, number: int) -> None:
        raise PermissionError(errno.EPERM, "Operation not permitted")

    aside(old, f"new-{dead}").mkdir()
    with monkeypatch.context() as patch:
        patch.setattr(os, "kill", refuse)
        restore(old)

    assert [aside(old, f"new-{dead}").name, "quiz"] == names(old.parent)


def test_restore_leaves_what_only_looks_like_ours(old: Path, dead: int) -> None:
    for name in ("new-", "new-x", f"new-{dead}-2", f"new-0{dead}", "new-٣", "newer"):
        aside(old, name).mkdir()
    os.mkfifo(aside(old, f"new-{dead}"))
    (old.parent / f".quiz2.itembank-new-{dead}").mkdir()
    before = names(old.parent)
    restore(old)

    assert before == names(old.parent)
    assert len(before) == 9


def test_restore_changes_nothing_where_nothing_was_left(old: Path, tmp_path: Path) -> None:
    before = old.parent.stat().st_mtime_ns
    restore(old)
    restore(old / "no" / "such" / "folder")
    restore(Path("/"))

    assert before == old.parent.stat().st_mtime_ns


def test_restore_is_done_when_done_once(old: Path, dead: int) -> None:
    old.rename(aside(old, "old"))
    aside(old, f"new-{dead}").mkdir()
    restore(old)
    once = old.parent.stat().st_mtime_ns
    restore(old)

    assert once == old.parent.stat().st_mtime_ns


def test_the_next_run_restores_before_it_writes(old: Path, dead: int) -> None:
    old.rename(aside(old, "old"))
    aside(old, f"new-{dead}").mkdir()
    with pytest.raises(KeyError):
        fail(old, KeyError("fault"))

    assert holding("old") == files(old)
    assert names(old.parent) == ["quiz"]


def refuse_to_rename(source: Path, destination: Path) -> Path:
    raise OSError(errno.EROFS, "Read-only file system", str(source))


def test_restore_says_what_stands_aside_if_it_cannot_be_moved_back(
    old: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old.rename(aside(old, "old"))
    with monkeypatch.context() as patch:
        patch.setattr(Path, "rename", refuse_to_rename)
        with pytest.raises(InputError, match="read-only file system") as caught:
            restore(old)

    assert [each.code for each in caught.value.diagnostics] == ["not-writable"]
    assert holding("old") == files(aside(old, "old"))


def test_restore_is_silent_where_a_whole_target_stands_on_a_disk_that_takes_no_change(
    old: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(aside(old, "old"), "older")
    with monkeypatch.context() as patch:
        patch.setattr(Path, "rename", refuse_to_rename)
        restore(old)

    assert holding("old") == files(old)


def test_a_folder_that_cannot_be_listed_is_not_ours(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(path: Path) -> Iterator[os.DirEntry[str]]:
        raise PermissionError(errno.EACCES, "Permission denied", str(path))

    (old / MARKER).unlink()
    (old / "staff" / "items.json").unlink()
    (old / "staff").rmdir()
    with monkeypatch.context() as patch:
        patch.setattr(os, "scandir", refuse)
        with refused("not-our-folder"):
            write(old, "new")


def test_a_name_as_long_as_a_disk_takes_is_refused_with_what_helps(tmp_path: Path) -> None:
    """What is written beside the target has a longer name."""
    with pytest.raises(InputError) as caught:
        write(tmp_path / ("n" * 255), "new")

    assert ["give a shorter name"] == [each.hint for each in caught.value.diagnostics]
    assert [] == names(tmp_path)
