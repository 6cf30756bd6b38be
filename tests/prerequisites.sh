# What a build or a test run needs, to be sourced (it does nothing by itself):
#
#   . tests/prerequisites.sh
#   need_rust          rustc and cargo, new enough for the workspace
#   need_build_tools   C and C++ compiler, make, cmake, libclang: the solver library is built from source
#   need_python        python3, for the independent referee of the tests
#   need_chromium      a browser for the tests of the live page; they are skipped without one
#   need_testers       published testers of pages and interfaces, from npm and PyPI; tests that want
#                      them are skipped without them
#
# What is missing is installed with apt-get where that works without asking for a password. Else the
# script says exactly what to install and ends. Run from the project's top folder, POSIX sh.
# shellcheck shell=sh

# Ends the script with a message for a person.
give_up() {
    printf '\n%s\n' "$*" >&2
    exit 1
}

have() {
    command -v "$1" >/dev/null 2>&1
}

# --- Rust --------------------------------------------------------------------------------------------

need_rust() {
    # A rustup installation of the same session is not on the PATH yet.
    if ! have cargo && [ -x "${CARGO_HOME:-${HOME:-}/.cargo}/bin/cargo" ]; then
        PATH="${CARGO_HOME:-${HOME:-}/.cargo}/bin:$PATH"
        export PATH
    fi
    wanted=$(sed -n 's/^rust-version = "\(.*\)"/\1/p' Cargo.toml)
    if ! have cargo || ! have rustc; then
        give_up "Rust is missing: rustc and cargo $wanted or newer are needed.
Install them with rustup, https://rustup.rs :
    curl --proto '=https' --tlsv1.2 -sSf https://sh.rustup.rs | sh
then run this again."
    fi
    found=$(rustc --version | cut -d ' ' -f 2) || give_up "rustc is there but does not run; try: rustup default stable"
    version_at_least "$found" "$wanted" || give_up "Rust $found is too old: $wanted or newer is needed.
With rustup: rustup update stable
(The packages of a distribution are often too old; rustup is at https://rustup.rs .)"
}

# Whether version $1 is $2 or newer, by major and minor number.
version_at_least() {
    found_major=${1%%.*}
    found_rest=${1#*.}
    found_minor=${found_rest%%[!0-9]*}
    wanted_major=${2%%.*}
    wanted_rest=${2#*.}
    wanted_minor=${wanted_rest%%[!0-9]*}
    [ "$found_major" -gt "$wanted_major" ] ||
        { [ "$found_major" -eq "$wanted_major" ] && [ "$found_minor" -ge "$wanted_minor" ]; }
}

# --- What the system's packages bring ------------------------------------------------------------------

need_build_tools() {
    lacking=""
    packages=""
    have_compiler "${CC:-}" cc gcc clang || lack "a C compiler" gcc
    have_compiler "${CXX:-}" c++ g++ clang++ || lack "a C++ compiler" g++
    have make || have ninja || lack "make" make
    have "${CMAKE:-cmake}" || lack "cmake (3.15 or newer)" cmake
    have_libclang || lack "libclang" libclang-dev
    install_lacking
}

need_python() {
    lacking=""
    packages=""
    have python3 || lack "python3" python3
    install_lacking
}

# A browser for the tests of the live page. They are skipped where there is none and it cannot be had.
need_chromium() {
    if have chromium || have chromium-browser || have google-chrome; then
        return 0
    fi
    if have apt-get && as_root true 2>/dev/null; then
        echo "installing with apt-get: chromium (for the tests of the live page)"
        apt_get update || echo "apt-get update failed; trying with the lists that are there"
        apt_get install chromium && return 0
    fi
    echo "no chromium: the tests of the live page are skipped"
}

# Published testers, in the versions named in tests/testers/, brought once into target/testers.
need_testers() {
    testers=target/testers
    mkdir -p "$testers"
    cmp -s tests/testers/axe.txt "$testers/axe.whole" || bring_axe || echo "no accessibility tester: the tests that want it are skipped"
    cmp -s tests/testers/requirements.txt "$testers/python.whole" || bring_python_testers ||
        echo "no interface tester: the tests that want it are skipped"
}

bring_axe() {
    have npm && have sha256sum || return 1
    # shellcheck disable=SC2046 # three words
    set -- $(grep -v '^#' tests/testers/axe.txt)
    echo "bringing $1 $2 from the npm registry"
    (
        cd "$testers" &&
            npm pack --silent "$1@$2" >/dev/null &&
            echo "$3  $1-$2.tgz" | sha256sum --check --quiet - &&
            tar -xzf "$1-$2.tgz" package/axe.min.js &&
            mv package/axe.min.js axe.min.js
    ) && cp tests/testers/axe.txt "$testers/axe.whole"
}

bring_python_testers() {
    echo "bringing the testers of tests/testers/requirements.txt from PyPI"
    rm -rf "$testers/python"
    python3 -m venv "$testers/python" &&
        "$testers/python/bin/pip" install --quiet --disable-pip-version-check -r tests/testers/requirements.txt &&
        cp tests/testers/requirements.txt "$testers/python.whole"
}

# Notes one thing that is missing, for people ($1) and as a Debian package ($2).
lack() {
    lacking="$lacking    $1
"
    packages="$packages $2"
}

# Whether one of the named compilers can be run; the first is the user's own choice or empty.
have_compiler() {
    for compiler in "$@"; do
        # CC and CXX may carry options after the program's name.
        if [ -n "$compiler" ] && have "${compiler%% *}"; then
            return 0
        fi
    done
    return 1
}

# Looks where the generator of the solver's bindings looks too.
have_libclang() {
    if [ -n "${LIBCLANG_PATH:-}" ]; then
        set -- "$LIBCLANG_PATH" "$LIBCLANG_PATH"/libclang*
    else
        set -- /usr/lib/llvm-*/lib/libclang* /usr/lib/llvm*/lib*/libclang* /usr/lib/*-linux-*/libclang* \
            /usr/lib/libclang* /usr/lib64/libclang* /usr/local/lib/libclang* /usr/local/llvm*/lib/libclang* \
            /opt/homebrew/opt/llvm/lib/libclang* /usr/local/opt/llvm/lib/libclang* \
            /Library/Developer/CommandLineTools/usr/lib/libclang* \
            /Applications/Xcode.app/Contents/Developer/Toolchains/*/usr/lib/libclang*
    fi
    for file in "$@"; do
        case $(basename "$file") in
        libclang-cpp*) ;; # another library
        libclang.so* | libclang-*.so* | libclang*.dylib | libclang.dll)
            if [ -e "$file" ]; then
                return 0
            fi
            ;;
        esac
    done
    have llvm-config && [ -e "$(llvm-config --libdir 2>/dev/null)/libclang.so" ]
}

# Installs what `lack` noted, or says how to.
install_lacking() {
    if [ -z "$lacking" ]; then
        return 0
    fi
    printf 'missing:\n%s' "$lacking"
    if have apt-get && as_root true 2>/dev/null; then
        echo "installing with apt-get:$packages"
        # One broken source of packages must not stop what the others can bring.
        apt_get update || echo "apt-get update failed; trying with the lists that are there"
        # shellcheck disable=SC2086 # one word for each package
        if apt_get install $packages; then
            return 0
        fi
        give_up "apt-get could not install:$packages
Its message is above. Mend that, then run this again."
    fi
    give_up "Please install what is missing, then run this again:
    Debian, Ubuntu       sudo apt-get install$packages
    Fedora, RHEL         sudo dnf install gcc gcc-c++ make cmake clang-devel python3
    Arch                 sudo pacman -S --needed base-devel cmake clang python
    openSUSE             sudo zypper install gcc gcc-c++ make cmake clang-devel python3
    macOS                xcode-select --install; brew install cmake python3"
}

# Runs a command as root if that needs no password.
as_root() {
    if [ "$(id -u)" -eq 0 ]; then
        "$@"
    elif have sudo; then
        sudo -n "$@"
    else
        return 1
    fi
}

# apt-get without questions and without its progress, errors only.
apt_get() {
    as_root env DEBIAN_FRONTEND=noninteractive apt-get -qq -y "$@" >/dev/null
}
