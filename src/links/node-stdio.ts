/**
 * A controller in a process of its own: frames on its standard input and output, its standard error passed on line by
 * line. Runs in Node.
 *
 * The command line goes to the shell of the system, so that quoting, pipes and variables mean what the user expects;
 * it comes from the user's own command line or scenario and is trusted as such. The shell leads a process group, and
 * closing the link ends the whole group.
 */
import { type ChildProcessByStdio, spawn } from 'node:child_process';
import type { Readable, Writable } from 'node:stream';
import { SetUpError } from './errors.ts';
import { LineSplitter } from './lines.ts';
import type { LinkTimes, LockStepLink } from './link.ts';
import { openSession } from './session.ts';
import type { Ear, Wire } from './wire.ts';
import { within } from './within.ts';

export interface StdioOptions extends Partial<LinkTimes> {
  /** Gets each line of the process's standard error; default: our own standard error with a prefix. */
  readonly onText?: (line: string) => void;
}

type Child = ChildProcessByStdio<Writable, Readable, Readable>;

/** Codes with which a POSIX shell says that it could not run the command. */
const NOT_EXECUTABLE = 126;
const NOT_FOUND = 127;
/** Time for output that is still in the pipe when the process has ended [ms]. */
const DRAIN_MS = 200;
/** Time for a process to end after its input has ended, and again after it was asked to [ms]. */
const LEAVE_MS = 300;

/**
 * Starts a command and waits for its Hello. Rejects with SetUpError when the shell cannot run it, with LinkLostError
 * when it runs and does not introduce itself.
 */
export async function openStdioLink(command: string, options: StdioOptions = {}): Promise<LockStepLink> {
  const wire = openStdioWire(command, options.onText);
  try {
    return await openSession(wire, options);
  } catch (error) {
    throw wire.refusal() ?? error;
  }
}

/** Starts a command; `refusal` says afterwards whether the shell could not run it. Throws SetUpError without a command. */
export function openStdioWire(
  command: string,
  onText: (line: string) => void = (line) => process.stderr.write(`controller: ${line}\n`),
): Wire & { refusal(): SetUpError | undefined } {
  if (command.trim() === '') throw new SetUpError('exec: needs a command line, e.g. exec:./build/starter');
  const name = `exec:${command}`;
  const child: Child = spawn(command, { shell: true, detached: true, stdio: ['pipe', 'pipe', 'pipe'] });
  const gone = new Promise<void>((resolve) => child.once('exit', () => resolve()));
  const onExit = (): void => kill(child, 'SIGKILL');
  process.once('exit', onExit); // the group would outlive us
  let words = { last: '' };

  async function close(): Promise<void> {
    child.stdin.end();
    for (const signal of ['SIGTERM', 'SIGKILL'] as const) {
      if (await within(gone, LEAVE_MS)) break;
      kill(child, signal);
    }
    child.stdin.destroy();
    kill(child, 'SIGKILL'); // what the command itself may have started
    process.off('exit', onExit);
  }

  function refusal(): SetUpError | undefined {
    const code = child.exitCode;
    if (code !== NOT_FOUND && code !== NOT_EXECUTABLE) return undefined;
    const why = code === NOT_FOUND ? 'command not found' : 'command is not executable';
    return new SetUpError(`${name}: ${why}${words.last === '' ? '' : ` (${words.last})`}`);
  }

  return {
    name,
    send: (bytes) => child.stdin.write(bytes),
    attach(ear) {
      words = listen(child, ear, onText);
    },
    close,
    refusal,
  };
}

/** Ties the streams of the process to the ear; `last` is its latest line of standard error. */
function listen(child: Child, ear: Ear, onText: (line: string) => void): { last: string } {
  const words = { last: '' };
  const splitter = new LineSplitter((line) => {
    words.last = line;
    onText(line);
  });
  let drain: ReturnType<typeof setTimeout> | undefined;
  const ended = (): void => {
    clearTimeout(drain);
    const how = child.signalCode === null ? `with code ${child.exitCode}` : `by ${child.signalCode}`;
    const spoke = words.last === '' ? '' : `; its last words: ${words.last}`;
    ear.lose('exited', `the process ended ${how} ${ear.progress}${spoke}`);
  };
  child.stdout.on('data', (chunk: Buffer) => ear.take(chunk));
  child.stdout.once('end', () => {
    // Ended output with a living process is a loss of its own; give the exit code a moment to arrive first.
    setTimeout(() => ear.lose('closed', `the process closed its output ${ear.progress}`), DRAIN_MS).unref();
  });
  child.stderr.on('data', (chunk: Buffer) => splitter.push(chunk));
  child.stdin.on('error', () => undefined); // a broken pipe shows as the end of the process, which has a cause
  child.once('error', (error) => ear.lose('exited', `the shell could not be started: ${error.message}`));
  child.once('close', ended);
  child.once('exit', () => {
    drain = setTimeout(ended, DRAIN_MS); // a grandchild may hold the pipes open, then `close` never comes
  });
  return words;
}

/** Signals the whole group; it may be gone already. */
function kill(child: Child, signal: NodeJS.Signals): void {
  if (child.pid === undefined) return;
  try {
    if (process.platform === 'win32') child.kill(signal);
    else process.kill(-child.pid, signal);
  } catch {
    // No such process: that is what was wanted.
  }
}
