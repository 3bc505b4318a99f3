# Writes the section "Changes" of DEVELOPERS.md in the form of a Debian changelog (deb-changelog(5)). There a version is
#
#     ### 0.2.0, 2026-11-30
#
#     - what changed, in any number of lines
function closing(day,    y, m, d, a, names, months) {  # "Mon, 30 Nov 2026 12:00:00 +0000"
    split(day, a, "-")
    split("Sat Sun Mon Tue Wed Thu Fri", names, " ")
    split("Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec", months, " ")
    y = a[1]; m = a[2]; d = a[3] + 0
    if (m < 3) { m += 12; --y }  # Zeller's congruence: 0 is a Saturday
    return names[(d + int(13 * (m + 1) / 5) + y + int(y / 4) - int(y / 100) + int(y / 400)) % 7 + 1] ", " a[3] " " \
        months[a[2] + 0] " " a[1] " 12:00:00 +0000"
}
function end_change(    count, words, i, line) {  # no line is wider than 80 letters
    count = split(change, words, " ")
    line = "  *"
    for (i = 1; i <= count; ++i) {
        if (length(line) + length(words[i]) > 78) { print line; line = "   " }
        line = line " " words[i]
    }
    if (count) print line
    change = ""
}
function end_version() {
    end_change()
    if (day != "") printf "\n -- Tarebook developers <developers@tarebook.invalid>  %s\n", closing(day)
}
/^## / { inside = ($0 == "## Changes"); next }
!inside { next }
/^### / {
    end_version()
    version = $2; sub(",$", "", version)
    printf "%starebook (%s) stable; urgency=medium\n\n", day == "" ? "" : "\n", version
    day = $3
    next
}
day != "" && /^- / { end_change(); change = substr($0, 3); next }
day != "" && /^  / { change = change " " substr($0, 3); next }
END {
    if (day == "") { print "DEVELOPERS.md has no section \"Changes\" with a version" > "/dev/stderr"; exit 1 }
    end_version()
}
