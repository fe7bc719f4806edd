# Completion of ullage for bash. The commands, the kinds of entries and their options are asked of the program
# itself, so they can't differ from it.

_ullage_commands() {
    ullage --help 2>/dev/null | sed -n 's/^  \([a-z][a-z]*\) .*/\1/p; s/^  \([a-z][a-z]*\)$/\1/p'
}

_ullage_options() { # command, or nothing
    ullage ${1:+"$1"} --help 2>/dev/null |
        sed -n 's/^ \{2,6\}\(-[a-zA-Z], \)\{0,1\}\(--[a-z][a-z-]*\).*/\2/p'
}

# The first word that is neither an option nor the value of one.
_ullage_command() {
    local i
    for ((i = 1; i < COMP_CWORD; i++)); do
        case ${COMP_WORDS[i]} in
        --log | --units | --theme) i=$((i + 1)) ;;
        -*) ;;
        *)
            printf '%s' "${COMP_WORDS[i]}"
            return
            ;;
        esac
    done
}

_ullage() {
    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]} command words=
    command=$(_ullage_command)
    COMPREPLY=()
    case $before in
    --units) words='metric us imperial' ;;
    --theme) words='default light monochrome night' ;;
    --as) words='event todo' ;;
    --kind) words=$(_ullage_commands) ;;
    --log | --write)
        mapfile -t COMPREPLY < <(compgen -f -- "$word")
        return
        ;;
    *)
        case $word in
        -*) words=$(_ullage_options "$command") ;;
        *)
            case $command in
            '') words=$(_ullage_commands) ;;
            units) words='metric us imperial' ;;
            help) words=$(_ullage_commands) ;;
            import | merge | sync | backup | restore | salvage | feed)
                mapfile -t COMPREPLY < <(compgen -f -- "$word")
                return
                ;;
            esac
            ;;
        esac
        ;;
    esac
    mapfile -t COMPREPLY < <(compgen -W "$words" -- "$word")
}

complete -F _ullage ullage
