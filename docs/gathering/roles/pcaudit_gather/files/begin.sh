# Looks for a Python that pcaudit runs by, and makes a folder that only this account can read.
# $1: path of a Python to try first; may be empty.
umask 077
for one in "$1" python3 python3.14 python3.13 python3.12 python3.11 \
  /usr/local/bin/python3 /opt/homebrew/bin/python3 /opt/local/bin/python3; do
  path=$(command -v "$one" 2>/dev/null) || continue
  # On a Mac without developer tools this one opens a window that offers to install them.
  [ "$(uname)/$path" = Darwin//usr/bin/python3 ] && continue
  found=$("$path" -I -B -c 'import sys; print("%d.%d" % sys.version_info[:2])' 2>/dev/null) || continue
  case $found in
    3.1[1-9] | 3.[2-9][0-9])
      folder=$(mktemp -d "${TMPDIR:-/tmp}/pcaudit.XXXXXXXX") || exit 3
      echo "pcaudit_found=$path"
      echo "pcaudit_folder=$folder"
      exit 0
      ;;
  esac
  older="$older $found"
done
echo "pcaudit_older=$older"
exit 4
