/** A Cortex-M that QEMU emulates, its UART on a TCP port of this machine. */
import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { missing } from './c-native.ts';

/** Time for the emulator to come up [ms]; a second at most was seen. */
const START_MS = 30_000;

export interface Machine {
  /** Where its UART listens, e.g. 127.0.0.1:40123. */ readonly place: string;
  /** Pulls its reset line; memory keeps what it holds, as on a real one. */
  reset(): void;
  close(): Promise<void>;
}

/** Starts a machine with a program in its memory. Rejects with what QEMU says when it ends before it listens. */
export async function startMachine(machine: string, program: string): Promise<Machine> {
  const args = ['-M', machine, '-kernel', program, '-display', 'none', '-monitor', 'none'];
  const serial = ['-serial', 'tcp:127.0.0.1:0,server=on,wait=off,nodelay=on'];
  const child = spawn(...onOneCore('qemu-system-arm', [...args, ...serial, '-qmp', 'stdio']));
  const gone = new Promise<void>((resolve) => child.once('close', () => resolve()));
  const onExit = (): void => void child.kill('SIGKILL');
  process.once('exit', onExit);
  async function close(): Promise<void> {
    process.off('exit', onExit);
    child.kill('SIGKILL');
    await gone;
  }
  try {
    const place = await whereItListens(child);
    return { place, reset: () => void child.stdin.write('{"execute":"system_reset"}\n'), close };
  } catch (error) {
    await close();
    throw error;
  }
}

/**
 * The command on one core, where `taskset` is: processor and socket are two threads that hand over every byte, and on two
 * cores each hand-over wakes the other core.
 */
function onOneCore(command: string, args: string[]): [string, string[]] {
  const allowed = /^Cpus_allowed_list:\s*(\S+)/m.exec(readFileSync('/proc/self/status', 'utf8'))?.[1] ?? '';
  const core = allowed.split(/[,-]/).at(-1);
  if (!core || missing('taskset').length > 0) return [command, args];
  return ['taskset', ['-c', core, command, ...args]];
}

/** Asks the emulator by its control protocol, which greets when everything listens. */
function whereItListens(child: ChildProcessWithoutNullStreams): Promise<string> {
  return new Promise((resolve, reject) => {
    let said = '';
    let complained = '';
    const fail = (why: string): void => reject(new Error(`qemu-system-arm: ${why}${complained && `: ${complained}`}`));
    const timer = setTimeout(() => fail(`does not listen within ${START_MS / 1000} s`), START_MS);
    child.stderr.on('data', (chunk) => {
      complained += chunk;
    });
    child.stdout.on('data', (chunk) => {
      said += chunk;
      const [, place] = /tcp:(127\.0\.0\.1:[1-9]\d*)/.exec(said) ?? [];
      if (place) resolve(place);
    });
    child.once('error', (error) => fail(error.message));
    child.once('close', (code) => {
      clearTimeout(timer);
      fail(`ended with ${code}`);
    });
    child.stdin.on('error', () => undefined); // its end is reported above
    child.stdin.write('{"execute":"qmp_capabilities"}\n{"execute":"query-chardev"}\n');
  });
}
