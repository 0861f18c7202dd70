"""Bodies that are malformed, and bodies that are odd but valid JSON: no one of them is a defect."""

import pytest

from tests.api.probe import post_json, probe_app

APP = probe_app()

MALFORMED = [
    # structure
    *[
        b"{",
        b"}",
        b"[",
        b"]",
        b"{]",
        b"[}",
        b'{"load"',
        b'{"load":',
        b'{"load":1',
        b'{"load":1,',
        b'{"load":1,}',
    ],
    *[
        b'{"load" 1}',
        b'{"load"::1}',
        b'{"load":1;}',
        b'{"load":1 "name":"a"}',
        b"{,}",
        b'{,"load":1}',
        b"{:1}",
    ],
    *[
        b"{load:1}",
        b"{'load':1}",
        b"{1:1}",
        b"{null:1}",
        b"{[]:1}",
        b'{"load":1}}',
        b'{"load":1}{}',
        b"{}{}",
        b"[]]",
    ],
    *[
        b"[,]",
        b"[1,]",
        b"[,1]",
        b"[1,,2]",
        b"[1 2]",
        b"[1;2]",
        b"[1:2]",
        b"(1)",
        b"<load>1</load>",
        b"load=1",
        b"---",
    ],
    *[b'{"load":1}x', b'x{"load":1}', b'{"load":1}\x00', b'\x00{"load":1}', b"\x00", b",", b":", b"//", b"#"],
    *[
        b'{"load":1/*c*/}',
        b'{"load":1}//c',
        b'{"load":1,...}',
        b"\\",
        b"*",
        b"&",
        b"@",
        b"$",
        b"`",
        b"~",
        b"%",
    ],
    # literals
    *[
        b"nul",
        b"nulll",
        b"NULL",
        b"Null",
        b"tru",
        b"TRUE",
        b"True",
        b"fals",
        b"False",
        b"undefined",
        b"None",
        b"nil",
    ],
    *[b'{"load":NaN}', b'{"load":nan}', b'{"load":Infinity}', b'{"load":-Infinity}', b'{"load":inf}', b"NaN"],
    # numbers
    *[
        b'{"load":+1}',
        b'{"load":01}',
        b'{"load":-01}',
        b'{"load":1.}',
        b'{"load":.5}',
        b'{"load":-.5}',
        b'{"load":-}',
    ],
    *[
        b'{"load":1e}',
        b'{"load":1e+}',
        b'{"load":1.e1}',
        b'{"load":1e1.5}',
        b'{"load":0x10}',
        b'{"load":1_000}',
    ],
    *[
        b'{"load":1,000}',
        b'{"load":1.2.3}',
        b'{"load":--1}',
        b'{"load":1f}',
        b'{"load":0b1}',
        b'{"load":1 000}',
    ],
    *[
        '{"load":１}'.encode(),
        '{"load":٣}'.encode(),
        '{"load":½}'.encode(),
        '{"load":−1}'.encode(),
        b'{"load":1e1e1}',
    ],
    # strings
    *[b'"', b'"a', b'a"', b"'a'", b'{"note":"a}', b'{"note":"\\"}', b'{"note":"\\x41"}', b'{"note":"\\u12"}'],
    *[b'{"note":"\\u12G4"}', b'{"note":"\\u"}', b'{"note":"\\"', b'{"note":"a\nb"}', b'{"note":"a\tb"}'],
    *[b'{"note":"a\x00b"}', b'{"note":"a\x1fb"}', b'{"note":"\\a"}', b'{"note":"\\U0001F600"}', b'"a" "b"'],
    # encodings
    *[
        b"\xff",
        b"\xfe\xff\x00{\x00}",
        b"\xff\xfe{\x00",
        b"\xef\xbb\xbf{}",
        b'{"note":"\xff"}',
        b'{"note":"\xc3"}',
    ],
    *[
        b'{"note":"\xc0\x80"}',
        b'{"note":"\xed\xa0\x80"}',
        b'{"note":"\xf4\x90\x80\x80"}',
        b'{"\xff":1}',
        b"\x80",
    ],
    *[
        b'{"note":"\xe2\x82"}',
        b'{"note":"\xf0\x9f\x98"}',
        "{}".encode("utf-16"),
        "{}".encode("utf-32"),
        b"{}\xff",
    ],
    # white space that JSON has not
    *[b"\x0b{}", b"\x0c{}", "\u00a0{}".encode(), "\u2028{}".encode(), "{}\u200b".encode(), "\ufeff".encode()],
]

ODD = [
    # valid for the probe
    *[
        b' {"load":1}',
        b'{"load":1}\n',
        b'\r\n\t{ "load" : 1 }\t',
        b'{"load":-0}',
        b'{"load":-0.0}',
        b'{"load":0e9}',
    ],
    *[
        b'{"load":1E3}',
        b'{"load":1e+3}',
        b'{"load":1000e-3}',
        b'{"load":1e-400}',
        b'{"load":0.1e1}',
        b'{"load":5e-324}',
    ],
    *[
        b'{"load":1.' + b"0" * 3000 + b"}",
        b'{"load":0.' + b"1" * 3000 + b"}",
        b'{"l\\u006fad":1}',
        b'{"\\u006coad":1}',
    ],
    *[b'{"load":1,"note":"\\u0000"}', b'{"load":1,"note":"\\ud83d\\ude00"}', b'{"load":1,"note":"\x7f"}'],
    *[
        '{"load":1,"note":"\U0010ffff\uffff\ufdd0"}'.encode(),
        b'{"load":1,"note":"\\/\\b\\f\\n\\r\\t\\\\\\""}',
    ],
    *['{"load":1,"note":"\u2028\u202e\ufeff"}'.encode(), b'{"load":1,"note":""}', b'{"load":1,"axles":[]}'],
    *[
        b'{"load":1,"axles":[1.0,2e0,-3]}',
        b'{"load":1,"axles":[99999999999999999999999999]}',
        b'{"load":1000000}',
    ],
    # valid JSON of another shape
    *[
        b"null",
        b"true",
        b"false",
        b"0",
        b"-0",
        b"-1",
        b"1e5",
        b'""',
        b'"a"',
        b"[]",
        b"{}",
        b"[[]]",
        b"[{}]",
        b"[null]",
    ],
    *[
        b'{"":1}',
        b'{"load":{}}',
        b'{"load":[]}',
        b'{"load":""}',
        b'{"load":1,"":2}',
        b'{"a":{"b":{"c":[1,2,{}]}}}',
    ],
    *[
        b"1" * 4000,
        b'{"load":1e999999999}',
        b'{"load":-1e999999999}',
        b'{"load":1,"axles":[1.5]}',
        b"[" * 500 + b"]" * 500,
    ],
    *[
        b'{"load":1,"axles":[1e300]}',
        b'{"load":1,"axles":[1,2,3,4]}',
        b'{"load":1,"Load":1}',
        b'{"load":1,"load\\u0000":1}',
    ],
    *[
        b'{"load":1,"note":"\\ud800"}',
        b'{"load":1,"note":"\\udfff\\ud800"}',
        b'{"\\ud800":1,"load":1}',
        b'{"load":"1"}',
    ],
    *[
        b'{"load":1,"load":1}',
        b'{"load":1,"lo\\u0061d":1}',
        b'{"x":1,"x":{"x":1,"x":[]}}',
        b'{"__class__":"A","load":1}',
    ],
    *[
        b'{"load":1,"note":{"$ref":"#"}}',
        b'{"load":1e400}',
        b'{"load":1,"axles":[9e999]}',
        b'{"' + b"k" * 3000 + b'":1}',
    ],
]


def test_the_corpus_is_of_the_promised_size_without_doubles() -> None:
    assert len(set(MALFORMED)) == len(MALFORMED) >= 100
    assert len(set(ODD)) == len(ODD) >= 50


@pytest.mark.parametrize("body", MALFORMED, ids=repr)
def test_a_malformed_body_is_no_json(body: bytes) -> None:
    reply = post_json(APP, body)
    assert (reply.status, reply.problem_type) == (400, "not-json")


@pytest.mark.parametrize("body", ODD, ids=lambda body: repr(body[:40]))
def test_an_odd_body_is_computed_on_or_refused_for_its_shape(body: bytes) -> None:
    reply = post_json(APP, body)
    assert reply.status in (200, 422)
    if reply.status == 422:
        assert reply.problem_type == "invalid"
        assert "not_valid" not in {error["code"] for error in reply.json["errors"]}


@pytest.mark.parametrize("depth", [50, 1_000, 1_900])
@pytest.mark.parametrize("opening", [b"[", b'{"load":'])
def test_nesting_of_any_depth_is_no_defect(depth: int, opening: bytes) -> None:
    body = (opening * depth)[:4096]
    assert post_json(APP, body).status in (400, 422)
    if opening == b"[":
        assert post_json(APP, body + b"]" * depth).status == 422
