#!/usr/bin/env bash
# Usage: installed_test.sh BUILD SOURCE VERSION
#
# Installs what was built into an empty folder, builds a board against it by CMake and by pkg-config from a copy outside
# the tree, runs both and the program, holds the installed firmware to the installed golden traces, makes and unpacks the Debian package, and takes everything away again.
set -euo pipefail
build=$1 source=$2 version=$3

folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
say() {
    echo "installed_test: $*" >&2
    exit 1
}

cp -r "$source/hal/minimal" "$folder/own"
# Somebody else's, and empty.
mkdir -p "$folder"/prefix/{bin,include,share/doc,etc}
cd "$folder"
cmake --install "$build" --prefix "$folder/prefix" >install.log || { cat install.log; say "the install fails"; }

[[ $(prefix/bin/cornerbench --version) == "cornerbench $version" ]] || say "the program is of another version"
shared=prefix/share/cornerbench
for page in hal/recorded/FORMAT.md hal/golden/README.md firmware/console/COMMANDS.md; do
    [[ -s prefix/share/doc/cornerbench/$page ]] || say "the installed README names $page, which is not there"
done
prefix/bin/cornerbench weigh "$shared/scales/quarry-8.toml" >weigh.txt || say "the installed program does not weigh"
prefix/bin/cornerbench settings "$shared/scales/quarry-8.toml" -o quarry.settings >/dev/null

cmake -S own -B own/build -DCMAKE_PREFIX_PATH="$folder/prefix" -DCMAKE_BUILD_TYPE=Release >cmake.log ||
    { cat cmake.log; say "find_package(cornerbench) fails"; }
cmake --build own/build >cmake.log || { cat cmake.log; say "a board does not build against the package"; }
by_cmake=$(own/build/minimal_board quarry.settings) || say "the board shows no stable weight: '$by_cmake'"
# 0.3 of 2 mV/V, of eight cells of 30 000 kg.
[[ $by_cmake == *" 36000 kg" ]] || say "the board shows '$by_cmake'"

cp -r "$source/tests/installed/golden" does
cmake -S does -B does/build -DCMAKE_PREFIX_PATH="$folder/prefix" -DCMAKE_BUILD_TYPE=Release >cmake.log ||
    { cat cmake.log; say "find_package(cornerbench) fails for golden traces"; }
cmake --build does/build >cmake.log || { cat cmake.log; say "golden traces do not build against the package"; }
recordings=("$shared"/golden/*.recording)
((${#recordings[@]} >= 7)) || say "golden traces are missing"
for recording in "${recordings[@]}"; do
    does/build/does_as_recorded "${recording%.recording}" || say "the installed firmware does not do as recorded"
done
cp "${recordings[0]%.recording}".* .
sed -i '40s/.$/~/' "$(basename "${recordings[0]%.recording}").trace"
! does/build/does_as_recorded "$(basename "${recordings[0]%.recording}")" >/dev/null || say "a changed trace is not seen"

if command -v pkg-config >/dev/null; then
    PKG_CONFIG_PATH=$(dirname "$(find "$folder/prefix" -name cornerbench.pc)")
    export PKG_CONFIG_PATH
    [[ $(pkg-config --modversion cornerbench) == "$version" ]] || say "pkg-config has another version"
    # shellcheck disable=SC2046
    c++ -std=c++20 own/minimal_board.cpp -o by_pkg_config $(pkg-config --cflags --libs cornerbench)
    [[ $(./by_pkg_config quarry.settings) == "$by_cmake" ]] || say "built by pkg-config, the board shows something else"
fi

if command -v cpack >/dev/null && command -v dpkg-deb >/dev/null && command -v dpkg-shlibdeps >/dev/null; then
    (cd "$build" && cpack -G DEB -B "$folder/packed" >"$folder/cpack.log" 2>&1) || { cat cpack.log; say "cpack fails"; }
    dpkg-deb -x packed/*.deb unpacked
    dpkg-deb -f packed/*.deb Version | grep -q "^$version" || say "the Debian package has another version"
    unpacked/usr/bin/cornerbench weigh unpacked/usr/share/cornerbench/scales/quarry-8.toml | cmp - weigh.txt ||
        say "the packed program weighs differently"
    ls -l packed/*.deb
fi

# What cpack installed for itself has a list of its own.
cmake --install "$build" --prefix "$folder/prefix" >install.log
cmake --build "$build" --target uninstall >uninstall.log || { cat uninstall.log; say "the uninstall fails"; }
[[ -z $(find prefix -type f -o -type l -o -name '*cornerbench*') ]] || say "left behind: $(find prefix | head)"
for own in bin include share/doc etc; do
    [[ -d prefix/$own ]] || say "$own was there before, and is gone"
done
echo "installed, used and taken away: the board shows $by_cmake"
