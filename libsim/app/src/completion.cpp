// lapheat completion bash.
#include "commands.hpp"
#include "console.hpp"
#include "lapheat/fluids/liquids.hpp"

namespace lapheat::app {

int completion(const std::vector<VerbOptions>& verbs) {
    std::string names, cases;
    for (const VerbOptions& verb : verbs) {
        std::string options;
        for (const std::string& option : verb.options)
            options += (options.empty() ? "" : " ") + option;
        names += (names.empty() ? "" : " ") + verb.verb;
        cases += "        " + verb.verb + ") options='" + options + "' ;;\n";
    }
    std::string fluids = "air", topics;
    for (const std::string& name : lapheat::fluids::names()) fluids += " " + name;
    for (const std::string& topic : help_words()) topics += (topics.empty() ? "" : " ") + topic;
    print(
        "# Completion of lapheat for bash:  source <(lapheat completion bash)\n"
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
        fluids +
        "' -- \"$word\")); return ;;\n"
        "        help) COMPREPLY=($(compgen -W '" +
        topics +
        "' -- \"$word\")); return ;;\n"
        "        completion) COMPREPLY=($(compgen -W 'bash' -- \"$word\")); return ;;\n"
        "    esac\n"
        "    case $verb in\n" +
        cases +
        "    esac\n"
        "    case $word in\n"
        "        -*) COMPREPLY=($(compgen -W \"$options\" -- \"$word\")) ;;\n"
        "        *) COMPREPLY=($(compgen -f -- \"$word\")) ;;\n"
        "    esac\n"
        "}\n"
        "complete -o filenames -F _lapheat lapheat\n");
    return all_well;
}

}  // namespace lapheat::app
