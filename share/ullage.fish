# Completion of ullage for fish: the program itself is asked what may stand at the cursor.

function __ullage_complete
    set -l words (commandline -opc)
    set -l word (commandline -ct | string unescape)
    test (count $word) -eq 0; and set word ''
    for line in (ullage complete -- $words[2..-1] $word 2>/dev/null)
        if string match -q \t'*' -- $line
            __fish_complete_path (string replace -r '^--[^=]*=' '' -- $word)
        else
            echo $line
        end
    end
end

complete -c ullage -f -a '(__ullage_complete)'
