"""What Pyodide's compiled program (`pyodide.asm.wasm`) and its loader are made of, which their package says nowhere.

Versions are those that the program tells (tests/packs/test_parts.py asks it). `sign` is what stands in the program's bytes
or in the loader where the part is in it. Copyright lines are those of the part's own license file; the texts are in
`license_texts/`. From memory, with no source at hand: that hiwire is under MPL-2.0, and the years of the crates by Unicode, Inc.
"""

from __future__ import annotations

from typing import NamedTuple


class RuntimePart(NamedTuple):
    """One row; `version` empty stands for the one of Pyodide or CPython that it is a part of."""

    name: str
    version: str
    license: str  # SPDX expression
    purl: str  # without the version
    use: str
    sign: bytes
    copyright: tuple[str, ...]
    texts: tuple[str, ...]  # names in license_texts/


PYTHON = "3.14.2"
EMSCRIPTEN = "5.0.3"

RUNTIME_PARTS = (
    RuntimePart(
        "Emscripten",
        EMSCRIPTEN,
        "MIT",
        "pkg:github/emscripten-core/emscripten",
        "what a program finds of a system, in the page",
        b"emscripten_",
        ("Copyright (c) 2010-2014 Emscripten authors, see AUTHORS file.",),
        ("MIT",),
    ),
    RuntimePart(
        "musl",
        f"emscripten-{EMSCRIPTEN}",
        "MIT",
        "pkg:generic/musl",
        "C library, as it comes with Emscripten",
        b"Illegal byte sequence",
        ("Copyright © 2005-2020 Rich Felker, et al.",),
        ("MIT",),
    ),
    RuntimePart(
        "LLVM libc++, libc++abi, compiler-rt",
        f"emscripten-{EMSCRIPTEN}",
        "Apache-2.0 WITH LLVM-exception",
        "pkg:generic/llvm-runtimes",
        "C++ library, as it comes with Emscripten",
        b"__cxxabiv1",
        (),
        ("Apache-2.0", "LLVM-exception"),
    ),
    RuntimePart(
        "zlib",
        "1.3.1",
        "Zlib",
        "pkg:generic/zlib",
        "packing",
        b"inflate 1.3.1 Copyright",
        ("Copyright (C) 1995-2024 Jean-loup Gailly and Mark Adler",),
        ("Zlib",),
    ),
    RuntimePart(
        "bzip2",
        "1.0.6",
        "bzip2-1.0.6",
        "pkg:generic/bzip2",
        "packing",
        b"1.0.6, 6-Sept-2010",
        ("Copyright (C) 1996-2010 Julian R Seward",),
        ("bzip2-1.0.6",),
    ),
    RuntimePart(
        "XZ Utils, liblzma", "5.2.2", "LicenseRef-public-domain", "pkg:generic/xz", "packing", b"\x005.2.2\x00", (), ("public-domain",)
    ),
    RuntimePart(
        "Zstandard",
        "1.5.7",
        "BSD-3-Clause",
        "pkg:generic/zstd",
        "packing",
        b"ZSTD_",
        ("Copyright (c) Meta Platforms, Inc. and affiliates. All rights reserved.",),
        ("BSD-3-Clause-zstd",),
    ),
    RuntimePart("SQLite", "3.39.0", "blessing", "pkg:generic/sqlite", "database", b"3.39.0", (), ("blessing",)),
    RuntimePart(
        "Expat",
        "2.7.3",
        "MIT",
        "pkg:generic/expat",
        "reads XML",
        b"expat_2.7.3",
        ("Copyright (c) 1998-2000 Thai Open Source Software Center Ltd and Clark Cooper", "Copyright (c) 2001-2025 Expat maintainers"),
        ("MIT",),
    ),
    RuntimePart(
        "libmpdec",
        "2.5.1",
        "BSD-2-Clause",
        "pkg:generic/mpdecimal",
        "decimal numbers",
        b"2.5.1",
        ("Copyright (c) 2008-2020 Stefan Krah. All rights reserved.",),
        ("BSD-2-Clause",),
    ),
    RuntimePart(
        "libffi",
        "",
        "MIT",
        "pkg:generic/libffi",
        "calls between languages",
        b"ffi_closure_alloc",
        ("Copyright (c) 1996-2024 Anthony Green, Red Hat, Inc and others. See source files for details.",),
        ("MIT",),
    ),
    RuntimePart(
        "HACL*",
        f"cpython-{PYTHON}",
        "MIT",
        "pkg:generic/hacl-star",
        "checksums",
        b"Hacl_",
        ("Copyright (c) 2016-2022 INRIA, CMU and Microsoft Corporation", "Copyright (c) 2022-2023 HACL* Contributors"),
        ("MIT",),
    ),
    RuntimePart(
        "mimalloc",
        f"cpython-{PYTHON}",
        "MIT",
        "pkg:generic/mimalloc",
        "memory",
        b"mimalloc: ",
        ("Copyright (c) 2018-2025 Microsoft Corporation, Daan Leijen",),
        ("MIT",),
    ),
    RuntimePart("hiwire", "", "MPL-2.0", "pkg:github/hoodmane/hiwire", "objects of JavaScript in C", b"hiwire_", (), ("MPL-2.0",)),
    RuntimePart(
        "stackframe, error-stack-parser",
        "",
        "MIT",
        "pkg:generic/error-stack-parser",
        "reads where a script failed, in the loader",
        b"ErrorStackParser",
        ("Copyright (c) 2017 Eric Wendelin and other contributors",),
        ("MIT",),
    ),
)
