/**
 * The build files of the kit: all of them name the same sources, and only files that are there.
 *
 * library.json  fields as docs.platformio.org, "library.json", has them (read): headers, examples, build.srcFilter, build.flags
 *               with paths from the folder of the manifest.
 * module.yml    build.cmake is a folder with a CMakeLists.txt, build.kconfig a file, both from the root of the module:
 *               docs.zephyrproject.org, "Modules" (read).
 */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { openStdioLink } from '../../src/links/node-stdio.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { compileToWasm, kitSources } from '../support/c-build.ts';
import { BOARD, missing } from '../support/c-native.ts';
import { starterUnits } from '../support/c-starter.ts';

const read = (name: string) => readFileSync(join(BOARD, name), 'utf8');
const folder = mkdtempSync(join(tmpdir(), 'phantom-cmake-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Sources of a list that a CMake file sets. */
function listOf(text: string, name: string): string[] {
  const body = new RegExp(`set\\(${name}\\s+([^)]*)\\)`).exec(text);
  if (!body) throw new Error(`no list ${name}`);
  return body[1].split(/\s+/).filter(Boolean);
}

function makeList(name: string): string[] {
  const line = new RegExp(`^${name} = (.*)$`, 'm').exec(read('Makefile'));
  if (!line) throw new Error(`the Makefile has no ${name}`);
  return line[1].split(' ');
}

const all = starterUnits(kitSources());
const inKit = all.filter((name) => !name.includes('/'));
const inStarter = all.filter((name) => name.startsWith('starter/'));
const inPort = all.filter((name) => name.startsWith('ports/posix/'));

const pages = readdirSync(BOARD, { recursive: true }).filter((name) => (name as string).endsWith('.md')) as string[];

describe('pages of the kit', () => {
  it('link to files that are there, and name commands that the command line has', () => {
    expect(pages.length).toBeGreaterThan(4);
    const commands = [...readFileSync('src/cli/main.ts', 'utf8').matchAll(/\.command\('([\w-]+)'\)/g)].map(
      ([, c]) => c,
    );
    for (const page of pages) {
      const text = read(page);
      for (const [, target] of text.matchAll(/\]\(([^)#:]+)\)/g)) {
        expect(existsSync(join(BOARD, page, '..', target)), `${page}: ${target}`).toBe(true);
      }
      for (const [, command] of text.matchAll(/npm run sim -- ([\w-]+)/g)) expect(commands, page).toContain(command);
      for (const [file] of text.matchAll(/scenarios\/[\w-]+\.yaml/g)) expect(existsSync(file), file).toBe(true);
    }
  });

  it('name options of the starter that it has', () => {
    const main = read('ports/posix/main.c');
    const named =
      read('README.md')
        .match(/`--[a-z]+[^`]*`/g)
        ?.map((each) => /--[a-z]+/.exec(each)![0]) ?? [];
    const own = named.filter((option) => option !== '--controller');
    expect(own.length).toBeGreaterThan(2);
    for (const option of own) expect(main).toContain(`"${option}"`);
  });

  it('the first program of README.md compiles under the flags of the kit', async () => {
    const [, text] = /```c\n([\s\S]*?)```/.exec(read('README.md')) ?? [];
    const pins = 'int uart_has_byte(void) { return 0; }\nuint8_t uart_byte(void) { return 0; }\n';
    const sink = 'void uart_send(const uint8_t *bytes, size_t n) { (void)bytes; (void)n; }\n';
    const sources = { ...kitSources(), 'first.c': text, 'pins.c': `#include "phantom_link.h"\n${pins}${sink}` };
    await compileToWasm('first-program', sources, [...inKit, 'first.c', 'pins.c']);
  });
});

describe('build files of the kit', () => {
  it('name the same sources, in Makefile, the list of CMake and Zephyr, and PlatformIO', () => {
    expect(inKit.length).toBeGreaterThan(2);
    const cmake = read('sources.cmake');
    for (const [name, files] of Object.entries({ KIT: inKit, STARTER: inStarter })) {
      expect(makeList(name)).toEqual(files);
      expect(listOf(cmake, name)).toEqual(files);
    }
    expect(makeList('PORT')).toEqual(inPort);
    expect(listOf(read('CMakeLists.txt'), 'PORT')).toEqual(inPort);
    const { build } = JSON.parse(read('library.json'));
    expect(build.srcFilter).toEqual(['-<*>', ...[...inKit, ...inStarter].map((name) => `+<${name}>`)]);
  });

  it('library.json points at folders and files that are there', () => {
    const library = JSON.parse(read('library.json'));
    expect(library).toMatchObject({ name: 'phantom-kit', license: 'MIT' });
    expect(library.version).toMatch(/^\d+\.\d+\.\d+$/);
    const folders = ['.', ...library.build.flags.map((flag: string) => flag.replace(/^-I /, ''))];
    for (const each of folders) expect(existsSync(join(BOARD, each)), each).toBe(true);
    for (const header of library.headers)
      expect(folders.filter((each) => existsSync(join(BOARD, each, header))).length, header).toBe(1);
    for (const { base, files } of library.examples)
      for (const file of files) expect(existsSync(join(BOARD, base, file)), file).toBe(true);
    expect([library.build.srcDir, library.build.includeDir]).toEqual(['.', '.']);
  });

  it('the Zephyr module points at its files, and asks only for options that its Kconfig has', () => {
    const { build, name } = parse(read('zephyr/module.yml'));
    expect(name).toBe('phantom_kit');
    expect(readdirSync(join(BOARD, build.cmake))).toContain('CMakeLists.txt');
    const options = [...read(build.kconfig).matchAll(/^config (\w+)$/gm)].map(([, option]) => option);
    const asked = [...read(join(build.cmake, 'CMakeLists.txt')).matchAll(/CONFIG_(\w+)/g)].map(([, option]) => option);
    expect([...new Set(asked)].sort()).toEqual([...options].sort());
  });

  const hasCmake = missing('cmake', 'make', 'cc').length === 0;
  const cmake = (...args: string[]) => {
    const { status, stderr } = spawnSync('cmake', args, { cwd: folder });
    expect(`${status} ${stderr}`).toBe('0 ');
  };

  it.runIf(hasCmake)('CMake builds the libraries and a program that answers', async () => {
    cmake('-S', BOARD, '-B', 'out');
    cmake('--build', 'out');
    const link = await openStdioLink(`'${join(folder, 'out/starter')}' --foc`, { hello_s: 30 });
    const drive = blankDrive(link.hello.watch.length);
    expect(await link.exchange({ ...blankSense(), tick: 5 }, drive)).toBe('ok');
    expect(drive.tick).toBe(5);
    await link.close();
  });

  it.runIf(hasCmake)('the CMake file of the Zephyr module adds what its options ask for', () => {
    // The four functions that it calls, made of plain CMake; what they do is read in Zephyr's page on its extensions.
    writeFileSync(
      join(folder, 'CMakeLists.txt'),
      `cmake_minimum_required(VERSION 3.13)
project(stand_in C)
macro(zephyr_include_directories)
  include_directories(\${ARGN})
endmacro()
macro(zephyr_compile_definitions)
  add_compile_definitions(\${ARGN})
endmacro()
macro(zephyr_library)
  add_library(module STATIC)
endmacro()
macro(zephyr_library_sources)
  target_sources(module PRIVATE \${ARGN})
endmacro()
add_subdirectory(${join(BOARD, 'zephyr')} module)
`,
    );
    const on = ['-DCONFIG_PHANTOM_KIT=y', '-DCONFIG_PHANTOM_KIT_HELLO_MOST=700'];
    const objects = (build: string, ...options: string[]) => {
      cmake('-S', '.', '-B', build, ...on, ...options);
      cmake('--build', build);
      const { stdout } = spawnSync('ar', ['t', join(folder, build, 'module/libmodule.a')]);
      return stdout.toString().trim().split('\n').sort();
    };
    const named = (files: string[]) => files.map((name) => `${name.replace(/.*\//, '')}.o`).sort();
    expect(objects('kit-only')).toEqual(named(inKit));
    expect(objects('with-starter', '-DCONFIG_PHANTOM_KIT_STARTER=y')).toEqual(named([...inKit, ...inStarter]));
  });
});
