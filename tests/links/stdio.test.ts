import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { LinkLostError, SetUpError } from '../../src/links/errors.ts';
import type { LinkLoss, LockStepLink } from '../../src/links/link.ts';
import { openStdioLink, type StdioOptions } from '../../src/links/node-stdio.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';

const program = fileURLToPath(new URL('./odd-board.ts', import.meta.url));
const quick: StdioOptions = { hello_s: 20, answer_s: 0.3, onText: () => undefined };

function odd(oddity: string, after = 0, options: StdioOptions = {}): Promise<LockStepLink> {
  const command = `exec '${process.execPath}' --import tsx '${program}' ${oddity} ${after}`;
  return openStdioLink(command, { ...quick, ...options });
}

/** Exchanges until the link is lost or `most` answers came; the loss. */
async function runUntilLost(link: LockStepLink, most = 10): Promise<LinkLoss | undefined> {
  const sense = blankSense();
  const drive = blankDrive(1);
  for (let k = 0; k < most; k++) {
    sense.tick = k;
    sense.ia = 100 + k;
    const result = await link.exchange(sense, drive);
    if (result !== 'ok') return result;
    expect(drive.dutyA).toBe(100 + k);
  }
  return undefined;
}

async function failureOf(opening: Promise<LockStepLink>): Promise<Error> {
  try {
    await (await opening).close();
  } catch (error) {
    return error as Error;
  }
  return new Error('it opened');
}

describe('stdio link, a controller that misbehaves', () => {
  it.each([
    ['dies', 'exited', 'the process ended with code 3 after 4 answers; its last words: assertion failed: rotor'],
    ['hangs', 'no answer', 'no answer to tick 4 (frame 5) within 0.3 s'],
    ['restarts', 'no answer', 'within 0.3 s; it said Hello instead, so it has restarted'],
    ['closes', 'closed', 'the process closed its output after 4 answers'],
    ['babbles', 'garbage', 'bytes without a valid frame'],
    ['damages', 'no answer', 'within 0.3 s; dropped: 1 bad checksum'],
    ['leaps', 'wrong tick', 'an answer is for tick 99; asked was tick 4'],
  ])('that %s is lost as "%s"', async (oddity, cause, words) => {
    const link = await odd(oddity, 4);
    const begun = performance.now();
    const loss = await runUntilLost(link);
    expect(loss?.cause).toBe(cause);
    expect(loss?.message).toContain(words);
    expect(performance.now() - begun).toBeLessThan(2000);
    expect(await link.exchange(blankSense(), blankDrive(1))).toBe(loss);
    await link.close();
  });

  it('that repeats its answers is followed, and each repetition counted', async () => {
    const link = await odd('repeats', 1);
    expect(await runUntilLost(link, 5)).toBeUndefined();
    expect(link.counters).toMatchObject({ sent: 5, answered: 5, repeated: 4, late: 0 });
    await link.close();
  });

  it.each([
    ['old', 'wrong version', 'the board speaks version 7, this is 3'],
    ['odd-hello', 'bad hello', 'Hello.pwm_Hz must be number'],
  ])('whose Hello is %s is refused as "%s"', async (oddity, cause, words) => {
    const error = await failureOf(odd(oddity));
    expect(error).toBeInstanceOf(LinkLostError);
    expect((error as LinkLostError).loss).toMatchObject({ cause });
    expect(error.message).toContain(words);
  });

  it('that says nothing is given up after the time for Hello', async () => {
    const error = await failureOf(openStdioLink('sleep 60', { ...quick, hello_s: 0.3 }));
    expect((error as LinkLostError).loss).toEqual({
      cause: 'no hello',
      message: 'exec:sleep 60: no Hello within 0.3 s; not a byte came',
    });
  });

  it('that ends before its Hello is named with its code', async () => {
    const error = await failureOf(openStdioLink('exit 5', quick));
    expect((error as LinkLostError).loss).toEqual({
      cause: 'exited',
      message: 'exec:exit 5: the process ended with code 5 before its Hello',
    });
  });

  it('that prints endless text is recognized without waiting for the time limit', async () => {
    const begun = performance.now();
    const error = await failureOf(openStdioLink('yes', quick));
    expect((error as LinkLostError).loss.cause).toBe('garbage');
    expect(performance.now() - begun).toBeLessThan(5000);
  });
});

describe('stdio link, set-up and end', () => {
  it('a command that does not exist is a fault of the set-up', async () => {
    const error = await failureOf(openStdioLink('/no/such/controller', quick));
    expect(error).toBeInstanceOf(SetUpError);
    expect(error.message).toContain('exec:/no/such/controller: command not found');
  });

  it('an empty command says what is needed', async () => {
    expect(await failureOf(openStdioLink('  ', quick))).toBeInstanceOf(SetUpError);
  });

  it('closing ends the process and whatever it started', async () => {
    const lines: string[] = [];
    const inner = `'${process.execPath}' --import tsx '${program}' well 1000000`;
    const command = `sleep 300 & echo "helper $!" >&2; exec ${inner}`;
    const link = await openStdioLink(command, { ...quick, onText: (line) => lines.push(line) });
    const helper = Number(/helper (\d+)/.exec(lines.join('\n'))?.[1]);
    expect(() => process.kill(helper, 0)).not.toThrow();
    await link.close();
    await link.close();
    await expect.poll(() => isRunning(helper)).toBe(false);
  });
});

/** A killed process whose parent has gone may stay in the table as a zombie; that counts as ended. */
async function isRunning(pid: number): Promise<boolean> {
  const { readFile } = await import('node:fs/promises');
  const state = await readFile(`/proc/${pid}/stat`, 'utf8').catch(() => '');
  if (state !== '') return !/\) [ZX] /.test(state);
  try {
    process.kill(pid, 0);
    return process.platform !== 'linux';
  } catch {
    return false;
  }
}
