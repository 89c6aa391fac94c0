/** `bridge`: offers a board to the page on this machine, until Ctrl+C. */
import { SetUpError } from '../links/errors.ts';
import { boardPlace } from './board-named.ts';
import { say } from './files.ts';
import { Bridge } from './node-bridge.ts';

export interface BridgeOptions {
  /** Port on 127.0.0.1. */ readonly port: number;
  /** Folder of the built page. */ readonly folder: string;
  /** Let frames pass without a key press. */ readonly yes: boolean;
}

const CAUTION =
  'Whatever the drill says, this board may believe: with a power stage on motor and pack it could turn them. ' +
  'Disconnect the power stage from motor and pack.';

/** Runs until the process is asked to end. Throws SetUpError when board, port or page cannot be had. */
export async function bridge(link: string, { port, folder, yes }: BridgeOptions): Promise<void> {
  const place = boardPlace('bridge', link);
  if (!yes && !process.stdin.isTTY) {
    throw new SetUpError(
      'bridge: frames pass only after Enter is pressed here, and standard input is no terminal; ' +
        'start it from one, or give --yes when the power stage is disconnected from motor and pack',
    );
  }
  const running = new Bridge(place, { folder, port, yes, say: (line) => say(process.stdout, line) });
  say(process.stdout, CAUTION);
  const ended = new Promise<void>((resolve) => {
    process.once('SIGINT', resolve);
    process.once('SIGTERM', resolve);
  });
  await running.open();
  say(process.stdout, yes ? 'Ctrl+C ends' : 'Enter lets frames pass, or prints another address; Ctrl+C ends');
  if (process.stdin.isTTY) process.stdin.on('data', () => running.press());
  await ended;
  process.stdin.pause();
  await running.close();
}
