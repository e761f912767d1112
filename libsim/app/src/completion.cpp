// lapheat completion, lapheat manual: what the table of verbs says, for shells and for man.
#include <fmt/format.h>

#include "commands.hpp"
#include "console.hpp"
#include "lapheat/fluids/liquids.hpp"

namespace lapheat::app {
namespace {

std::string spaced(const std::vector<std::string>& words) {
    return fmt::format("{}", fmt::join(words, " "));
}

std::vector<std::string> fluid_words() {
    std::vector<std::string> out = {"air"};
    for (const std::string& name : lapheat::fluids::names()) out.push_back(name);
    return out;
}

/// Text within single quotes, of a shell that has no escape there.
std::string quoted(const std::string& text) {
    std::string out = "'";
    for (const char c : text) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
    return out + "'";
}

std::string bash(const std::vector<VerbWords>& verbs) {
    std::string names, cases;
    for (const VerbWords& verb : verbs) {
        std::string options;
        for (const auto& [name, help] : verb.options)
            if (name.starts_with("--")) options += (options.empty() ? "" : " ") + name;
        names += (names.empty() ? "" : " ") + verb.verb;
        cases += "        " + verb.verb + ") options='" + options + "' ;;\n";
    }
    return "# Completion of lapheat for bash:  source <(lapheat completion bash)\n"
           "_lapheat() {\n"
           "    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} "
           "verb=${COMP_WORDS[1]} options=\n"
           "    if [ \"$COMP_CWORD\" -eq 1 ]; then\n"
           "        COMPREPLY=($(compgen -W '" +
           names +
           " --help --version' -- \"$word\"))\n"
           "        return\n"
           "    fi\n"
           "    case $before in\n"
           "        --units) COMPREPLY=($(compgen -W 'si us' -- \"$word\")); return ;;\n"
           "        --out) COMPREPLY=($(compgen -d -- \"$word\")); return ;;\n"
           "        fluid) COMPREPLY=($(compgen -W '" +
           spaced(fluid_words()) +
           "' -- \"$word\")); return ;;\n"
           "        help) COMPREPLY=($(compgen -W '" +
           spaced(help_words()) +
           "' -- \"$word\")); return ;;\n"
           "        completion) COMPREPLY=($(compgen -W 'bash zsh fish' -- \"$word\")); return ;;\n"
           "    esac\n"
           "    case $verb in\n" +
           cases +
           "    esac\n"
           "    case $word in\n"
           "        -*) COMPREPLY=($(compgen -W \"$options\" -- \"$word\")) ;;\n"
           "        *) COMPREPLY=($(compgen -f -- \"$word\")) ;;\n"
           "    esac\n"
           "}\n"
           "complete -o filenames -F _lapheat lapheat\n";
}

std::string zsh(const std::vector<VerbWords>& verbs) {
    std::string listed, cases;
    const auto described = [](std::string name, std::string help) {
        for (std::string* text : {&name, &help})
            for (std::size_t at = 0; (at = text->find(':', at)) != std::string::npos; at += 2)
                text->insert(at, "\\");
        return quoted(name + ":" + help);
    };
    for (const VerbWords& verb : verbs) {
        listed += "        " + described(verb.verb, verb.help) + "\n";
        cases += "        " + verb.verb + ") options=(\n";
        for (const auto& [name, help] : verb.options)
            if (name.starts_with("--")) cases += "            " + described(name, help) + "\n";
        cases += "        ) ;;\n";
    }
    return "#compdef lapheat\n"
           "# Completion of lapheat for zsh:  source <(lapheat completion zsh)\n"
           "_lapheat() {\n"
           "    local -a verbs options\n"
           "    verbs=(\n" +
           listed +
           "    )\n"
           "    if (( CURRENT == 2 )); then _describe verb verbs; return; fi\n"
           "    case ${words[CURRENT-1]} in\n"
           "        --units) compadd si us; return ;;\n"
           "        --out) _files -/; return ;;\n"
           "        fluid) compadd " +
           spaced(fluid_words()) +
           "; return ;;\n"
           "        help) compadd " +
           spaced(help_words()) +
           "; return ;;\n"
           "        completion) compadd bash zsh fish; return ;;\n"
           "    esac\n"
           "    case ${words[2]} in\n" +
           cases +
           "    esac\n"
           "    if [[ ${words[CURRENT]} == -* ]]; then _describe option options; else _files; fi\n"
           "}\n"
           "compdef _lapheat lapheat\n";
}

std::string fish(const std::vector<VerbWords>& verbs) {
    // Within single quotes fish escapes with a backslash.
    const auto text = [](const std::string& words) {
        std::string out = "'";
        for (const char c : words)
            out += c == '\'' || c == '\\' ? std::string("\\") + c : std::string(1, c);
        return out + "'";
    };
    std::string out = "# Completion of lapheat for fish:  lapheat completion fish | source\n";
    for (const VerbWords& verb : verbs) {
        out += "complete -c lapheat -n __fish_use_subcommand -f -a " + verb.verb + " -d " +
               text(verb.help) + "\n";
        const std::string seen =
            "complete -c lapheat -n '__fish_seen_subcommand_from " + verb.verb + "' ";
        for (const auto& [name, help] : verb.options)
            if (name.starts_with("--"))
                out += seen + "-l " + name.substr(2) +
                       (name == "--units" ? " -x -a 'si us'"
                        : name == "--out" ? " -x -a '(__fish_complete_directories)'"
                                          : "") +
                       " -d " + text(help) + "\n";
        const std::string words = verb.verb == "help"         ? spaced(help_words())
                                  : verb.verb == "fluid"      ? spaced(fluid_words())
                                  : verb.verb == "completion" ? "bash zsh fish"
                                                              : "";
        if (!words.empty()) out += seen + "-f -a " + text(words) + "\n";
    }
    return out;
}

/// roff: a backslash, and a point or quote at the beginning of a line, would be requests.
std::string roff(const std::string& text) {
    std::string out;
    bool begins = true;
    for (const char c : text) {
        if (begins && (c == '.' || c == '\'')) out += "\\&";
        if (c == '\\')
            out += "\\e";
        else if (c == '-')
            out += "\\-";
        else
            out += c;
        begins = c == '\n';
    }
    return out;
}

}  // namespace

int completion(const std::vector<VerbWords>& verbs, const std::string& shell) {
    print(shell == "zsh" ? zsh(verbs) : shell == "fish" ? fish(verbs) : bash(verbs));
    return all_well;
}

int manual(const std::vector<VerbWords>& verbs) {
    std::string out =
        ".TH LAPHEAT 1\n.SH NAME\nlapheat \\- temperatures of a car's fluids, before you buy\n"
        ".SH SYNOPSIS\n.B lapheat\n.I VERB\n[\\fIoptions\\fR]\n.SH DESCRIPTION\n"
        "Takes coolant, transmission, steering and engine fluid of a car through a drive cycle, "
        "and "
        "ranks the places of a cooler. Results are estimates.\n.SH VERBS\n";
    for (const VerbWords& verb : verbs) {
        out += ".SS " + roff(verb.verb) + "\n" + roff(verb.help) + "\n";
        for (const auto& [name, help] : verb.options)
            out += ".TP\n.B " + roff(name) + "\n" + roff(help) + "\n";
        if (!verb.example.empty()) out += ".PP\nExample:\n.nf\n" + roff(verb.example) + ".fi\n";
    }
    out += ".SH TOPICS\n\\fBlapheat help\\fR tells of:\n" + roff(spaced(help_topics())) +
           ".\n.SH EXIT STATUS\n0 done; 1 a run failed; 2 bad input, nothing was written; 3 with "
           "\\-\\-strict a fluid went over its limit; 64 the command line is wrong.\n";
    print(out);
    return all_well;
}

}  // namespace lapheat::app
