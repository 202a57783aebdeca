"""Bodies that the fuzzer cannot make by itself: small ZIP archives of any names and bytes."""

import io
import zipfile

import schemathesis
from hypothesis import strategies


def archive(files: dict[str, bytes]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as made:
        for name, content in files.items():
            made.writestr(zipfile.ZipInfo(name), content)
    return buffer.getvalue()


names = strategies.sampled_from(["manifest.json", "dogs.csv", "weights.csv", "../x", "a/b.csv"])
contents = strategies.binary(max_size=200) | strategies.text(max_size=200).map(str.encode)
files = strategies.dictionaries(names, contents, max_size=4)
schemathesis.openapi.media_type("application/zip", files.map(archive))
