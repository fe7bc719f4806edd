# Completion of ullage for bash: the program itself is asked what may stand at the cursor.

# A word as the shell would hand it on: without its quotes.
_ullage_plain() {
    local word=$1 out= i char
    case $word in
    \"*) word=${word#\"} && printf '%s' "${word%\"}" && return ;;
    \'*) word=${word#\'} && printf '%s' "${word%\'}" && return ;;
    esac
    for ((i = 0; i < ${#word}; i++)); do
        char=${word:i:1}
        [[ $char == '\' ]] && i=$((i + 1)) && char=${word:i:1}
        out+=$char
    done
    printf '%s' "$out"
}

_ullage() {
    local line=${COMP_LINE:0:COMP_POINT} words=() rest word part i value
    # bash ends words at : and =; the program's words hold them ("12:30", "=11.5", "--for=cook").
    rest=$line
    for ((i = 0; i <= COMP_CWORD; i++)); do
        part=${COMP_WORDS[i]}
        word=${rest#"${rest%%[![:space:]]*}"}
        ((i == COMP_CWORD)) && part=$word
        if [[ $i == 0 || $word != "$rest" || -z $word ]]; then
            words+=("$part")
        else
            words[${#words[@]} - 1]+=$part
        fi
        rest=${word#"$part"}
    done
    word=${words[${#words[@]} - 1]}
    # What bash holds to be the word begins behind the last : or =.
    part=$word
    [[ $word != [\"\']* && $COMP_WORDBREAKS == *[:=]* ]] && part=${word##*[:=]}
    local before plain=()
    before=$(_ullage_plain "${word%"$part"}")
    for ((i = 1; i < ${#words[@]}; i++)); do
        plain+=("$(_ullage_plain "${words[i]}")")
    done
    COMPREPLY=()
    while IFS= read -r line; do
        value=${line%%$'\t'*}
        if [[ -z $value ]]; then
            compopt -o filenames
            mapfile -t -O ${#COMPREPLY[@]} COMPREPLY < <(compgen -f -- "$(_ullage_plain "$part")")
            continue
        fi
        value=${value#"$before"}
        [[ $word == [\"\']* ]] || printf -v value '%q' "$value"
        COMPREPLY+=("$value")
    done < <(ullage complete -- "${plain[@]}" 2>/dev/null)
}

complete -F _ullage ullage
