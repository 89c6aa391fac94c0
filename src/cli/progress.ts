/** How far a run is: a bar on a terminal, plain lines elsewhere, so that a log of a build stays readable. */
import { SingleBar } from 'cli-progress';

/** Plain lines come at every quarter of a run. */
const QUARTERS = 4;

export interface Progress {
  /** @param share done, 0 to 1 */ show(share: number): void;
  end(): void;
}

/** Writes to stderr, so that stdout holds results only. */
export function progressFor(title: string, out: NodeJS.WriteStream): Progress {
  const plain = !out.isTTY || process.env.CI !== undefined;
  return plain ? plainLines(title, out) : bar(title, out);
}

function bar(title: string, out: NodeJS.WriteStream): Progress {
  const format = `  {bar} {percentage} %  ${title.replaceAll(/[{}]/g, '')}`;
  const single = new SingleBar({
    format,
    stream: out,
    hideCursor: true,
    clearOnComplete: true,
    barCompleteChar: '#',
    barIncompleteChar: '.',
  });
  single.start(100, 0);
  return { show: (share) => single.update(Math.floor(100 * share)), end: () => single.stop() };
}

function plainLines(title: string, out: NodeJS.WriteStream): Progress {
  let told = 0;
  return {
    show(share) {
      const quarter = Math.floor(QUARTERS * share);
      if (quarter <= told) return;
      told = quarter;
      out.write(`${title}: ${(100 * quarter) / QUARTERS} %\n`);
    },
    end() {},
  };
}
