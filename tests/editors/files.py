"""The files for editors that cannot be had here, against what the editors' own pages ask of them; and whatever
in VS Code's files its own session does not come by.

files.py, in the project's folder, with WATERKEY the program. What an editor would refuse or pass over in silence is told: a key nobody knows,
a name that leads nowhere, a colour no theme has.
"""

import json
import os
import pathlib
import plistlib
import re
import subprocess
import sys
import tomllib
import xml.etree.ElementTree as xml

EDITORS = pathlib.Path("editors")
GRAMMAR = pathlib.Path("grammar/tree-sitter-brass")
wrong = []


def check(good, what):
    if not good:
        wrong.append(what)


def toml(path):
    return tomllib.loads((EDITORS / path).read_text(encoding="utf-8"))


def known(where, table, keys, needed=()):
    for key in table.keys() - keys:
        check(False, f"{where}: nobody knows `{key}`")
    for key in set(needed) - table.keys():
        check(False, f"{where}: `{key}` is missing")


def captures(folder, allowed):
    """Names that a query captures are names the editor knows, or below one of them."""
    for path in sorted((EDITORS / folder).glob("*.scm")):
        check(path.stem in allowed, f"{path}: no query is called so")
        for name in set(re.findall(r"@([\w.]+)", re.sub(r";.*", "", path.read_text(encoding="utf-8")))):
            good = any(name == known or name.startswith(known + ".") for known in allowed.get(path.stem, ()))
            check(good, f"{path}: nobody knows the name `{name}`")


THEME = {
    "helix": "attribute type constructor constant string comment variable label punctuation keyword operator"
    " function tag namespace special markup diff".split(),
    "zed": "attribute boolean comment constant constructor embedded emphasis enum function hint keyword label"
    " link_text link_uri number operator predictive preproc primary property punctuation string tag"
    " text.literal title type variable variant".split(),
}  # fmt: skip


def helix():
    file = toml("helix/languages.toml")
    known("helix/languages.toml", file, {"language", "language-server", "grammar"}, ["language", "language-server"])
    (language,), (grammar,) = file["language"], file["grammar"]
    known(
        "helix, language",
        language,
        {
            "name", "language-id", "scope", "injection-regex", "file-types", "shebangs", "roots", "auto-format",
            "diagnostic-severity", "comment-tokens", "comment-token", "block-comment-tokens", "indent",
            "language-servers", "grammar", "formatter", "soft-wrap", "text-width", "rulers", "auto-pairs",
            "workspace-lsp-roots", "persistent-diagnostic-sources", "path-completion",
        },
        ["name", "scope", "file-types", "language-servers"],
    )  # fmt: skip
    known("helix, indent", language["indent"], {"tab-width", "unit"}, ["tab-width", "unit"])
    check(language["file-types"] == ["brass"], "helix: file types")
    re.compile(language["injection-regex"])
    for server in language["language-servers"]:
        asked = file["language-server"].get(server, {})
        allowed = {"command", "args", "config", "timeout", "environment", "required-root-patterns"}
        known(f"helix, language server {server}", asked, allowed, ["command"])
        serves([asked["command"], *asked["args"]])
    known("helix, grammar", grammar, {"name", "source"}, ["name", "source"])
    check(grammar["name"] == language["name"] == grammar_name(), "helix: name of the grammar")
    check(grammar["source"]["path"].endswith(f"/waterkey/{GRAMMAR}"), "helix: place of the grammar")
    captures(
        f"helix/queries/{language['name']}",
        {
            "highlights": THEME["helix"],
            "injections": ["injection.content", "injection.language"],
            "locals": ["local.scope", "local.definition", "local.reference"],
            "textobjects": [f"{what}.{where}" for what in ("class", "function", "parameter", "comment", "entry")
                            for where in ("around", "inside", "movement")],
            "rainbows": ["rainbow.scope", "rainbow.bracket"],
            "indents": ["indent", "outdent", "align", "extend", "anchor"],
        },
    )  # fmt: skip


def zed():
    file = toml("zed/extension.toml")
    known(
        "zed/extension.toml",
        file,
        {"id", "name", "description", "version", "schema_version", "authors", "repository", "language_servers",
         "grammars", "themes", "icon_themes", "languages", "snippets", "capabilities", "lib"},
        ["id", "name", "version", "schema_version", "authors", "description", "repository"],
    )  # fmt: skip
    check(file["schema_version"] == 1, "zed: schema version")
    check(re.fullmatch(r"[a-z0-9-]+", file["id"]), "zed: id")
    language = toml("zed/languages/brass/config.toml")
    known(
        "zed/languages/brass/config.toml",
        language,
        {"name", "grammar", "path_suffixes", "line_comments", "block_comment", "tab_size", "hard_tabs",
         "first_line_pattern", "debuggers", "autoclose_before", "brackets", "word_characters", "soft_wrap",
         "preferred_line_length", "code_fence_block_name", "completion_query_characters", "prettier_parser_name",
         "collapsed_placeholder", "auto_indent_using_last_non_empty_line", "increase_indent_pattern",
         "decrease_indent_pattern", "scope_opt_in_language_servers", "overrides", "documentation_comment", "hidden"},
        ["name", "grammar"],
    )  # fmt: skip
    for bracket in language["brackets"]:
        known("zed, brackets", bracket, {"start", "end", "close", "newline", "surround", "not_in"}, ["start", "end"])
    check(all(len(c) == 1 for c in language["word_characters"]), "zed: word characters")
    check(language["path_suffixes"] == ["brass"], "zed: endings")
    for server in file["language_servers"].values():
        known("zed, language servers", server, {"name", "language", "languages", "language_ids", "code_action_kinds"})
        check(server["languages"] == [language["name"]] == list(server["language_ids"]), "zed: name of the language")
        check(list(server["language_ids"].values()) == ["brass"], "zed: language id")
    check(language["grammar"] in file["grammars"], "zed: name of the grammar")
    grammar = file["grammars"][language["grammar"]]
    known("zed, grammars", grammar, {"repository", "rev", "path"}, ["repository", "rev"])
    check(pathlib.Path(grammar["path"]) == GRAMMAR, "zed: place of the grammar")
    check(language["grammar"] == grammar_name(), "zed: name of the grammar")
    captures(
        "zed/languages/brass",
        {
            "highlights": THEME["zed"],
            "brackets": ["open", "close"],
            "outline": ["name", "item", "context", "annotation", "open", "close"],
            "injections": ["injection.content", "injection.language"],
            "indents": ["indent", "start", "end"],
        },
    )
    subprocess.run(["bash", "editors/zed/prepare.sh"], check=True, stdout=subprocess.DEVNULL)
    made = toml("zed/out/extension.toml")
    check("/path/to/" not in json.dumps(made), "zed/out/extension.toml: a place is not filled in")
    rev = made["grammars"]["brass"]["rev"]
    folder = subprocess.run(["git", "ls-tree", "--name-only", f"{rev}:{GRAMMAR}", "src/parser.c"], capture_output=True)
    check(folder.stdout == b"src/parser.c\n", "zed: the commit has no grammar")


def sublime():
    folder = EDITORS / "sublime"
    clients = json.loads((folder / "LSP.sublime-settings").read_text(encoding="utf-8"))["clients"]
    for name, client in clients.items():
        known(
            f"sublime, client {name}",
            client,
            {"enabled", "command", "selector", "settings", "initialization_options", "env", "schemes",
             "priority_selector", "diagnostics_mode", "disabled_capabilities"},
            ["enabled", "command", "selector"],
        )  # fmt: skip
        serves(client["command"])
    syntax = (folder / "Brass score.sublime-syntax").read_text(encoding="utf-8")
    scope = re.search(r"^scope: (.*)$", syntax, re.MULTILINE)[1]
    check(all(c["selector"] == scope for c in clients.values()), "sublime: selector")
    preferences = plistlib.loads((folder / "Comments.tmPreferences").read_bytes())
    check(preferences["scope"] == scope, "sublime: scope of the comments")
    variables = {v["name"]: v["value"] for v in preferences["settings"]["shellVariables"]}
    check(variables == {"TM_COMMENT_START": "// "}, "sublime: comments")
    settings = json.loads((folder / "Brass score.sublime-settings").read_text(encoding="utf-8"))
    known("sublime, settings", settings, {"word_wrap", "translate_tabs_to_spaces", "tab_size", "word_separators"})


def kate():
    settings = json.loads((EDITORS / "kate/settings.json").read_text(encoding="utf-8"))
    for language, server in settings["servers"].items():
        known(
            f"kate, server {language}",
            server,
            {"command", "commandDebug", "rootIndicationFileNames", "rootIndicationFilePatterns", "root", "url",
             "highlightingModeRegex", "settings", "initializationOptions", "completionTriggerCharacters",
             "signatureTriggerCharacters", "includeTriggerCharacters", "excludeTriggerCharacters", "useWorkspace"},
            ["command", "highlightingModeRegex"],
        )  # fmt: skip
        check(language == "brass", "kate: language id")
        serves(server["command"])
        name = xml.parse(EDITORS / "kate/brass.xml").getroot().get("name")
        check(re.fullmatch(server["highlightingModeRegex"], name), "kate: name of the mode")


# What each snippet stands in.
FRAMES = {
    "quintet": "{}",
    "section": "{}\nbar 1  tempo q = 72\nHorns | w : (F3 A3 C4 F4) |\nBones | w : (F2 C3 F3) |\n",
    "endings": "player Tp1 = trumpet in Bb\nbar 0  pickup q  tempo q = 72\nTp1 | q : C5 |\n\n{}",
    "muted": "player Tp1 = trumpet in Bb\nbar 1  tempo q = 72\nTp1 | {}\n",
}


def vscode():
    folder = EDITORS / "vscode"
    package = json.loads((folder / "package.json").read_text(encoding="utf-8"))["contributes"]
    for language in package["languages"]:
        for path in (language["configuration"], *language["icon"].values()):
            check((folder / path).is_file(), f"vscode: there is no {path}")
        word = json.loads((folder / language["configuration"]).read_text(encoding="utf-8"))["wordPattern"]
        check(isinstance(word, dict) and "u" in word["flags"], "vscode: classes of letters need the flag `u`")
    source = "".join(path.read_text(encoding="utf-8") for path in (folder / "src").glob("*.ts"))
    for command in package["commands"]:
        check(f"registerCommand('{command['command']}'" in source, f"vscode: nobody does {command['command']}")
        check(command["title"] and command["category"], f"vscode: {command['command']} has no title")
    for name, setting in package["configuration"]["properties"].items():
        told = setting.get("description") or setting.get("markdownDescription")
        check(told, f"vscode: {name} has no description")
    for walkthrough in package["walkthroughs"]:
        for step in walkthrough["steps"]:
            check((folder / step["media"]["markdown"]).is_file(), f"vscode: {step['id']} has no page")
    (file,) = package["snippets"]
    snippets = json.loads((folder / file["path"]).read_text(encoding="utf-8"))
    check({s["prefix"] for s in snippets.values()} == set(FRAMES), "vscode: snippets and their frames")
    for name, snippet in snippets.items():
        body = snippet["body"] if isinstance(snippet["body"], str) else "\n".join(snippet["body"])
        said = {}

        def fill(found, said=said):
            number, default, choices = found.groups()
            if default is not None or choices is not None:
                said.setdefault(number, default if default is not None else choices.split(",")[0])
            return said.get(number, "")

        text = re.sub(r"\$\{(\d+)(?::([^}]*)|\|([^|]*)\|)?\}|\$0", lambda m: fill(m) if m[1] else "", body)
        score = FRAMES[snippet["prefix"]].replace("{}", text)
        done = subprocess.run(
            [os.environ["WATERKEY"], "check", "--hints", "-"], input=score, capture_output=True, text=True, check=False
        )
        check(done.returncode == 0 and ":" not in done.stdout.replace("1 score:", ""), f"{name}: {done.stdout}\n{score}")


def serves(command):
    check(command == ["waterkey", "serve"], f"`{' '.join(command)}` starts no server")


def grammar_name():
    return json.loads((GRAMMAR / "tree-sitter.json").read_text(encoding="utf-8"))["grammars"][0]["name"]


for editor in (helix, zed, sublime, kate, vscode):
    editor()
if wrong:
    sys.exit("\n".join(wrong))
print("files for Helix, Zed, Sublime Text, Kate and VS Code: as their pages ask")
