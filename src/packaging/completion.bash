# Completion of heatrow in bash: commands and options as the program itself lists them, files for everything else.
_heatrow() {
    local word="${COMP_WORDS[COMP_CWORD]}" path=() token help
    COMPREPLY=()
    # The words up to the first option are commands, as far as the program knows them.
    for token in "${COMP_WORDS[@]:1:COMP_CWORD-1}"; do
        help="$("${COMP_WORDS[0]}" "${path[@]}" --help 2>/dev/null)" || return
        grep -q "^  $token  " <<<"$help" || break
        path+=("$token")
    done
    help="$("${COMP_WORDS[0]}" "${path[@]}" --help 2>/dev/null)" || return
    if [[ "$word" == -* ]]; then
        mapfile -t COMPREPLY < <(compgen -W "$(grep -o -E '^  (-[a-z],)?--[a-z0-9-]+' <<<"$help" | grep -o -E '\-\-[a-z0-9-]+')" -- "$word")
        return
    fi
    local commands
    commands="$(awk '/^Subcommands:/ { on = 1; next } /^$/ { on = 0 } on { print $1 }' <<<"$help")"
    if [ -n "$commands" ]; then
        mapfile -t COMPREPLY < <(compgen -W "$commands" -- "$word")
    else
        compopt -o filenames
        mapfile -t COMPREPLY < <(compgen -f -- "$word")
    fi
}
complete -F _heatrow heatrow
