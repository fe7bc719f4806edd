#compdef ullage
# Completion of ullage for zsh: the program itself is asked what may stand at the cursor.

local line value help
local -a values shown
for line in ${(f)"$(ullage complete -- "${(@Q)words[2,CURRENT-1]}" "${(Q)PREFIX}" 2>/dev/null)"}; do
    value=${line%%$'\t'*}
    help=${line#*$'\t'}
    if [[ -z $value ]]; then
        compset -P '--*='
        _files
    else
        values+=("$value")
        shown+=("$value${help:+  -- $help}")
    fi
done
(($#values)) && compadd -M 'm:{a-zA-Z}={A-Za-z}' -l -d shown -a values
