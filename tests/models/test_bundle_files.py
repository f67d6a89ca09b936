"""A bundle as a file: what is written is a bag, and nothing but a sound bag is read."""

import stat
import zipfile
from io import BytesIO

import bagit
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quizzes.bundles import bag, entries, strict
from quizzes.bundles.bag import Bag
from quizzes.bundles.refusals import BadBundle
from tests.bundling import (
    DATA,
    NOW,
    TOP,
    directory_field,
    files_of,
    packed,
    renamed,
    with_manifests,
    zipped,
)

JSON = "data/module.json"


def refusal(data):
    """What is said of a bundle that is refused."""
    with pytest.raises(BadBundle) as caught:
        bag.read(BytesIO(data))
    return " ".join(caught.value.messages)


def spoilt(**changes):
    """A bundle with other bytes for some files, its manifests as they were."""
    files = files_of(packed())
    names = {"bagit": "bagit.txt", "info": "bag-info.txt", "json": JSON}
    return {**files, **{names[name]: data for name, data in changes.items()}}


def unpacked_by_another_program(data, folder):
    with zipfile.ZipFile(BytesIO(data)) as archive:
        archive.extractall(folder)
    return bagit.Bag(str(folder / TOP))


# what is written


def test_another_program_finds_the_bag_whole(tmp_path):
    """The package bagit (Library of Congress) checks structure, counts and hashes by itself."""
    payload = {"module.json": b"{}", f"media/{'0' * 64}.jpg": b"\xff\xd8\xff picture"}
    found = unpacked_by_another_program(packed(payload), tmp_path)
    found.validate()
    assert found.version_info == (1, 0)
    assert found.info["Payload-Oxum"] == "13.2"
    assert found.info["Bagging-Date"] == "2026-03-10"
    assert set(found.payload_files()) == {f"data/{path}" for path in payload}


@pytest.mark.parametrize("spoil", ["changed", "extra", "missing", "tag"])
def test_another_program_misses_what_we_miss(tmp_path, spoil):
    data = packed()
    found = unpacked_by_another_program(data, tmp_path)
    files = files_of(data)
    if spoil == "changed":
        files[JSON] = b'{"formatVersion": "1.1"}'
    elif spoil == "extra":
        files["data/more.txt"] = b"more"
    elif spoil == "missing":
        del files[JSON]
    else:
        files["bag-info.txt"] += b"Contact-Name: somebody\n"
    for path in (tmp_path / TOP).rglob("*"):
        if path.is_file() and str(path.relative_to(tmp_path / TOP)) not in files:
            path.unlink()
    for path, content in files.items():
        (tmp_path / TOP / path).write_bytes(content)
    assert not found.is_valid()
    assert refusal(zipped(files))


PATHS = st.from_regex(r"[a-z][a-z0-9]{0,8}(/[a-z][a-z0-9]{0,8})?\.txt", fullmatch=True)


@given(payload=st.dictionaries(PATHS, st.binary(max_size=200), min_size=1, max_size=6))
@settings(deadline=None)
def test_what_is_written_is_read(payload):
    payload = {path: b"." + data for path, data in payload.items()}
    found = bag.read(BytesIO(packed(payload)))
    assert (found.name, dict(found.payload)) == (TOP, payload)
    assert found.info["External-Identifier"] == "x"


@given(data=st.data())
@settings(deadline=None)
def test_any_changed_byte_is_refused_or_changes_nothing(data):
    """Whatever one byte of the file says, no other payload comes out than the one that went in."""
    sound = packed()
    at = data.draw(st.integers(0, len(sound) - 1))
    other = data.draw(st.integers(0, 255))
    changed = sound[:at] + bytes([other]) + sound[at + 1 :]
    try:
        found = bag.read(BytesIO(changed))
    except BadBundle:
        return
    assert found.payload == bag.read(BytesIO(sound)).payload


@given(st.binary(max_size=300))
def test_any_bytes_are_refused_in_a_sentence(data):
    assert refusal(data) == str(entries.no_zip().messages[0])


def test_half_a_bundle_is_refused():
    data = packed()
    assert "not all of it arrived" in refusal(data[: len(data) // 2])


def test_more_than_may_be_read_is_not_written(monkeypatch):
    monkeypatch.setattr(entries, "MOST_UNPACKED", 100)
    with pytest.raises(BadBundle, match="larger than"):
        bag.written(Bag(TOP, {"module.json": b"x" * 200}), now=NOW)


# the directory of the ZIP


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("../../etc/cron", "leads out of its folder"),
        ("data/../../x", "leads out of its folder"),
        ("./data/x", "leads out of its folder"),
        ("/etc/passwd", "begins at the root"),
        ("data\\x", "has a backslash"),
        ("C:/x", "names a drive"),
        ("c:x", "names a drive"),
        ("data/a b", "has a name that no file"),
        ("data/.hidden", "has a name that no file"),
        ("data//x", "has a name that no file"),
        ("data/caf\N{LATIN SMALL LETTER E WITH ACUTE}", "has a name that no file"),
        ("data/" + "x" * 300, "has a name that no file"),
        ("data/line\nfeed", "has a name that no file"),
    ],
)
def test_names_that_lead_elsewhere_are_refused(name, said):
    files = {f"{TOP}/{path}": data for path, data in files_of(packed()).items()}
    message = refusal(zipped({**files, name: b"x"}, top=""))
    assert said in message
    assert message.isprintable()


def test_a_name_with_a_nul_is_refused():
    data = zipped({**files_of(packed()), "data/x.txt~": b"x"})
    assert "has a NUL" in refusal(renamed(data, b"data/x.txt~", b"data/x.tx\0~"))


@pytest.mark.parametrize(
    "twin", ["data/Module.json", "data/module.json", "data/MODULE.JSON"]
)
def test_twins_are_refused(twin):
    data = zipped({**files_of(packed()), "data/modulX.json": b"x"})
    if twin == "data/module.json":
        data = renamed(data, b"data/modulX.json", twin.encode())
    else:
        data = zipped({**files_of(packed()), twin: b"x"})
    assert "Two files in the bundle" in refusal(data)


@pytest.mark.parametrize(
    "kind", [stat.S_IFLNK, stat.S_IFCHR, stat.S_IFBLK, stat.S_IFIFO, stat.S_IFSOCK]
)
def test_links_and_devices_are_refused(kind):
    def link(info):
        if info.filename.endswith("module.json"):
            info.external_attr = (kind | 0o777) << 16

    assert "is a link or a device" in refusal(zipped(files_of(packed()), change=link))


@pytest.mark.parametrize("flag", [0x1, 0x41, 0x2000])
def test_encrypted_entries_are_refused(flag):
    data = packed()
    name = f"{DATA}module.json".encode()
    changed = directory_field(data, name, 8, flag, "<H")
    assert "is encrypted" in refusal(changed)


@pytest.mark.parametrize("how", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_rare_packings_are_refused(how):
    def change(info):
        info.compress_type = how

    said = refusal(zipped(files_of(packed()), change=change))
    assert "packed in a way" in said


@pytest.mark.parametrize("name", ["data/more.zip", "data/more.TAR", "data/x.7z"])
def test_archives_in_the_archive_are_refused(name):
    files = with_manifests({**files_of(packed()), name: b"x"})
    assert "is an archive in the archive" in refusal(zipped(files))


@pytest.mark.parametrize(
    "beginning", [b"PK\x03\x04", b"\x1f\x8b\x08", b"7z\xbc\xaf'\x1c"]
)
def test_archives_under_another_name_are_refused(beginning):
    files = with_manifests({**files_of(packed()), "data/x.txt": beginning + b"..."})
    assert "is an archive in the archive" in refusal(zipped(files))


def test_a_bomb_is_refused_by_what_its_directory_says():
    files = with_manifests({**files_of(packed()), "data/x.txt": b"\0" * 40_000_000})
    assert "grows more than 100 times" in refusal(zipped(files))


def test_a_bomb_of_many_files_is_refused():
    more = {f"data/{n}.txt": b"\0" * 255_000 for n in range(340)}
    assert "Unpacked, the bundle is larger than 80 MB" in refusal(zipped(more))


def test_too_many_files_are_refused():
    more = {f"data/{n}.txt": b"x" for n in range(1100)}
    assert "more than 1000 files" in refusal(zipped(more))


def test_too_many_bytes_are_refused_unread(monkeypatch):
    data = packed()
    monkeypatch.setattr(entries, "MOST_BYTES", len(data) - 1)
    assert "more than a bundle may have" in refusal(data)


@pytest.mark.parametrize("size", [0, 1, 5, 24_000_000])
def test_a_size_that_is_a_lie_is_refused(size):
    """Of a text of 24 bytes the directory says that it has another size."""
    name = f"{DATA}module.json".encode()
    said = refusal(directory_field(packed(), name, 24, size))
    assert "does not unpack" in said or "counts its files" in said or "grows" in said


def test_entries_over_each_other_are_refused():
    """Two entries of the directory that share the bytes of one file."""
    data = zipped({**files_of(packed()), "data/x.txt": b"x" * 50})
    name = f"{DATA}x.txt".encode()
    with zipfile.ZipFile(BytesIO(data)) as archive:
        start = archive.getinfo(f"{DATA}module.json").header_offset
    assert "lie over each other" in refusal(directory_field(data, name, 42, start))


@pytest.mark.parametrize("place", ["before", "after"])
def test_bytes_around_the_archive_are_refused(place):
    data = packed()
    junk = b"#!/bin/sh\n"
    assert "no ZIP" in refusal(junk + data if place == "before" else data + junk)


def test_one_folder_at_the_top():
    files = files_of(packed())
    two = {f"{TOP}/{path}": data for path, data in files.items()}
    assert "one folder at the top" in refusal(zipped({**two, "x/y.txt": b""}, top=""))
    assert "one folder at the top" in refusal(zipped(files, top=""))


def test_folders_may_have_entries_of_their_own():
    files = files_of(packed())
    found = bag.read(BytesIO(zipped({"data/": b"", **files})))
    assert set(found.payload) == {"module.json"}
    assert "folder that holds bytes" in refusal(zipped({"data/": b"x", **files}))


# the bag


@pytest.mark.parametrize(
    ("files", "said"),
    [
        (spoilt(json=b'{"formatVersion": "9.9"}'), "was changed or damaged"),
        (spoilt(json=b"{}"), "counts its files otherwise"),
        (spoilt(info=b"Payload-Oxum: 24.1\n"), "“bag-info.txt” was changed"),
        (spoilt(bagit=b"BagIt-Version: 0.95\n"), "no bag that the site reads"),
        ({**spoilt(), "data/x.txt": b"x"}, "“data/x.txt”, which its list does not"),
        ({**spoilt(), "x.txt": b"x"}, "“x.txt”, which its list does not name"),
        ({**spoilt(), "fetch.txt": b"x"}, "“fetch.txt”, which its list does not"),
    ],
)
def test_what_does_not_fit_the_lists_is_refused(files, said):
    assert said in refusal(zipped(files))


@pytest.mark.parametrize(
    "name",
    [
        JSON,
        "bagit.txt",
        "bag-info.txt",
        "manifest-sha256.txt",
        "tagmanifest-sha256.txt",
    ],
)
def test_a_file_that_is_missing_is_named(name):
    files = files_of(packed())
    del files[name]
    said = refusal(zipped(files))
    assert name in said
    assert "missing" in said or "lacks" in said


@pytest.mark.parametrize(
    "line",
    [b"0123  data/module.json\n", b"no line\n", b"\xff\xfe\n", b"0" * 64 + b"  \n"],
)
def test_a_manifest_with_nonsense_is_refused(line):
    files = files_of(packed())
    files["manifest-sha256.txt"] += line
    tags = {name: files[name] for name in bag.TAGS}
    files["tagmanifest-sha256.txt"] = bag._manifest(tags)
    said = refusal(zipped(files))
    assert "manifest-sha256.txt" in said


def test_a_tag_file_that_never_ends_is_refused():
    info = b"".join(b"Note: %d\n" % n**3 for n in range(20_000))
    assert "too long to be one" in refusal(zipped(spoilt(info=info)))


# JSON


def json_refusal(data):
    with pytest.raises(BadBundle) as caught:
        strict.read(data, "module.json")
    return caught.value.messages[0]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b'{"a": NaN}', "holds the number NaN"),
        (b'{"a": -Infinity}', "holds the number -Infinity"),
        (b'{"a": 1e999}', "holds the number 1e999"),
        (b'{"a": ' + b"9" * 5000 + b"}", "holds the number 99999"),
        (b'{"a": 9007199254740993}', "holds the number 9007199254740993"),
        (b"[" * 100_000 + b"]" * 100_000, "is nested too deep"),
        (b'{"a":' * 50 + b"1" + b"}" * 50, "is nested too deep"),
        (b'{"a": 1, "a": 2}', "names one thing twice"),
        (b'{"a": "\\u0000"}', "signs that are no text"),
        (b'{"a": ["\\ud800"]}', "signs that are no text"),
        (b'{"a\\u0000": 1}', "signs that are no text"),
        (b'{"a": "\xff"}', "is no text in UTF-8"),
        (b'{"a": 1', "is no JSON: line 1, column 8"),
        (b"", "is no JSON"),
    ],
)
def test_json_that_programs_read_differently_is_refused(data, said):
    assert said in json_refusal(data)


def test_json_too_long_is_refused(monkeypatch):
    monkeypatch.setattr(strict, "LARGEST", 10)
    assert "too long" in json_refusal(b'{"a": "0123456789"}')


def test_brackets_in_texts_are_no_depth():
    text = '"\\\\' + "[" * 1000 + '\\""'
    assert strict.read(text.encode(), "x") == "\\" + "[" * 1000 + '"'
