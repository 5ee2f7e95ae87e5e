# Sourced by tools/demo and tools/check: finds the repository, installs what is missing, builds.
# Assumes bash; installs only on Debian and its relatives, elsewhere says what is needed.
set -euo pipefail
export LC_ALL=C.UTF-8
unset CDPATH LANGUAGE

repository=$(cd -- "$(dirname -- "$(readlink -f -- "${BASH_SOURCE[0]}")")/.." && pwd -P)

# Each argument on a line of its own.
say() { printf "%s\n" "$@"; }

stop() {
  printf '%s\n' "$@" >&2
  exit 1
}

# Prints the calling script's opening comment if anything was asked; there are no options.
take_no_options() {
  (($# > 0)) || return 0
  sed -n '2,/^[^#]/s/^# //p' "$0"
  [[ $1 == -h || $1 == --help ]] || exit 2
  exit 0
}

# The packages listed for these uses (build, check, fuzz, page, npm).
packages_for() {
  awk -v uses=" $* " '$1 !~ /^#/ && index(uses, " " $1 " ") { print $2 }' \
    "$repository/tools/packages.txt"
}

# Those of the named packages that are not installed.
not_installed() {
  local present
  present=$({ dpkg-query -W -f '${db:Status-Abbrev} ${Package}\n' "$@" 2>/dev/null || true; } |
    awk '$1 ~ /^.i/ { print $2 }')
  printf '%s\n' "$@" | grep -vxF -e "$present" || true
}

# apt-get as root, asking sudo if need be; nothing else ever runs as root. Its words go to a log.
as_root_apt() {
  local prefix=()
  ((EUID == 0)) || prefix=(sudo)
  "${prefix[@]}" env DEBIAN_FRONTEND=noninteractive PATH="/usr/sbin:/sbin:$PATH" \
    apt-get -q -o DPkg::Lock::Timeout=300 "$@" >>"$repository/build/setup.log" 2>&1 </dev/null
}

# Installs what these uses (build, check, fuzz, page, npm) still lack; touches neither apt nor sudo nor the network
# if nothing is missing.
install_missing() {
  local wanted missing line status=0
  mapfile -t wanted < <(packages_for "$@")
  if ! command -v dpkg-query >/dev/null; then
    say "This is no Debian, so nothing is installed here. Needed under Debian's names: ${wanted[*]}"
    return
  fi
  mapfile -t missing < <(not_installed "${wanted[@]}")
  ((${#missing[@]})) || return 0

  line="apt-get update && apt-get install -y --no-install-recommends ${missing[*]}"
  if ((EUID != 0)) && ! command -v sudo >/dev/null; then
    stop "Some packages are missing, and installing them needs root. Run this as root, then try again:" \
      "  $line"
  fi
  say "Installing ${#missing[@]} missing packages, which takes a few minutes: ${missing[*]}"
  if ((EUID != 0)); then
    say "Only root may install packages, so sudo may ask for your password; only apt-get runs under it."
  fi
  mkdir -p "$repository/build"
  : >"$repository/build/setup.log"
  as_root_apt update || status=$?
  # 1 is sudo's refusal; apt's own 100 may be one dead source among several good ones.
  ((status == 1)) || as_root_apt install -y --no-install-recommends "${missing[@]}" || status=2
  mapfile -t missing < <(not_installed "${missing[@]}")
  if ((${#missing[@]})); then
    tail -n 15 "$repository/build/setup.log" >&2
    stop "The packages could not be installed. Run this as root, then try again:" "  $line"
  fi
}

# Compilers to run at once: one a processor, and 1.5 GB of free memory for each.
build_jobs() {
  local free_kb limit jobs
  free_kb=$(awk '/^MemAvailable:/ { print $2 }' /proc/meminfo 2>/dev/null || true)
  limit=$(cat /sys/fs/cgroup/memory.max 2>/dev/null || true)
  if [[ $limit =~ ^[0-9]+$ ]] && ((limit / 1024 < ${free_kb:-0})); then free_kb=$((limit / 1024)); fi
  jobs=$((${free_kb:-0} / 1572864))
  ((jobs <= $(nproc))) || jobs=$(nproc)
  ((jobs >= 1)) || jobs=1
  printf '%s' "$jobs"
}

# configure FOLDER OPTION...: makes the build folder, anew if it was made elsewhere or otherwise. Files
# are compiled several together: half the time, as most of it goes into the headers they share.
configure() {
  local folder=$repository/$1 cache=$repository/$1/CMakeCache.txt anew=()
  shift
  mkdir -p "$folder"
  if ! grep -qxF "CMAKE_HOME_DIRECTORY:INTERNAL=$repository" "$cache" 2>/dev/null ||
    ! grep -qxF "CMAKE_GENERATOR:INTERNAL=Ninja" "$cache"; then
    anew=(--fresh)
  fi
  cmake "${anew[@]}" -S "$repository" -B "$folder" -G Ninja -DCMAKE_UNITY_BUILD=ON \
    -DCMAKE_UNITY_BUILD_BATCH_SIZE=12 "$@" >"$folder/configure.log" 2>&1 ||
    stop "$(cat "$folder/configure.log")" "The build could not be set up; the reason stands above."
}

# build FOLDER TARGET...: compiles what has changed.
build() {
  local folder=$repository/$1
  shift
  cmake --build "$folder" -j "$(build_jobs)" --target "$@"
}

# The page's tests where their two packages are installed, at the versions that they name: in
# build/page, from where they find the program and leave their pictures in build/page/shots.
prepare_page() {
  local uses=(build page)
  command -v npm >/dev/null || uses+=(npm)
  install_missing "${uses[@]}"
  configure build
  build build rimeglow
  mkdir -p "$repository/build/page/shots"
  cp -R "$repository/tests/page/." "$repository/build/page"
  (cd "$repository/build/page" &&
    npm install --no-audit --no-fund --ignore-scripts --no-package-lock >install.log 2>&1) ||
    stop "$(cat "$repository/build/page/install.log")" "The packages of the page's tests could not be installed."
  export RIMEGLOW_PROGRAM=$repository/build/rimeglow RIMEGLOW_SHOTS=$repository/build/page/shots
}
