"""Policies: what is shipped is valid, what a user edits is checked, and the message names the entry."""

import pytest

from recap.policy import PolicyError, read_policy, shipped_policies
from recap.problems import UnreadableFile


@pytest.mark.parametrize("name", shipped_policies())
def test_shipped_policies_are_valid(name):
    policy = read_policy(name)
    assert policy.name == name
    assert dict(policy.choices())


def test_a_policy_of_the_users_own_changes_only_what_it_names(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text('name = "mine"\n[contested]\nnear_heat = "measure"\n', encoding="utf-8")
    mine, usual = read_policy(str(path)), read_policy("usual")
    assert mine.choice("near_heat") == "measure"
    assert usual.choice("near_heat") == "replace"
    assert mine.entries["voltage"] == usual.entries["voltage"]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('[contested]\nnear_heat = "perhaps"\n', "contested.near_heat: 'perhaps' is not one of"),
        ("[esr]\nfaulty_multiple = -1\n", "esr.faulty_multiple: -1"),
        ("[voltage]\nsurprise = 1\n", "voltage: Additional properties"),
        ('[life]\nassumed_source = "nobody"\n', "life.assumed_source: no source is called 'nobody'"),
    ],
)
def test_a_wrong_entry_is_named(tmp_path, text, message):
    path = tmp_path / "mine.toml"
    path.write_text('name = "mine"\n' + text, encoding="utf-8")
    with pytest.raises(PolicyError, match=message.replace("(", r"\(")):
        read_policy(str(path))


def test_a_missing_policy_names_the_shipped_ones():
    with pytest.raises(UnreadableFile, match="careful, usual"):
        read_policy("no-such-policy.toml")


def test_what_is_not_toml_is_unreadable(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_bytes(b"\xff\xfe = 3")
    with pytest.raises(UnreadableFile, match="not a policy file"):
        read_policy(str(path))
