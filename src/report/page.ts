/** The whole report as one HTML file: no request leaves it, nothing in it needs a script. */
import { html, raw } from './html.ts';
import type { Report } from './report.ts';
import { breakingSection } from './sections/breaking.ts';
import { campaignSections } from './sections/campaign.ts';
import { checksSection } from './sections/checks.ts';
import { coverageSection } from './sections/coverage.ts';
import { drillSections } from './sections/drill.ts';
import { head } from './sections/head.ts';
import { lookSection } from './sections/look.ts';
import { cautionsSection, madeSection, reviewSection } from './sections/made.ts';
import { matrixSection, runsSection } from './sections/matrix.ts';
import { plotsSection } from './sections/plots.ts';
import { Links, type Section } from './sections/section.ts';
import { STYLE } from './style.ts';
import { Trends } from './trend.ts';
import { overall } from './verdict.ts';

/** A browser that reads it fetches nothing, whatever a name in the report may hold. */
const POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";

export function pageOf(report: Report): string {
  const { runs, baseline, title, versions } = report;
  const { campaigns } = report;
  const trends = baseline && new Trends(baseline, runs);
  const places = new Links(runs);
  // Points of campaigns have matrices of their own, and cases of searches blocks of their own.
  const alone = runs.filter((run) => !campaigns.some(({ judged }) => judged.includes(run)));
  const laidOut = places.shown.length > 0;
  const sections = [
    lookSection(runs, places),
    cautionsSection(runs),
    breakingSection(campaigns, trends),
    ...campaignSections(campaigns, baseline),
    matrixSection({ ...report, runs: alone }),
    runsSection(runs, places),
    ...(laidOut ? [checksSection(places, trends)] : []),
    plotsSection(report),
    coverageSection(runs, places),
    madeSection(report, places),
    reviewSection(),
    ...drillSections(report.sheets),
  ].filter((each): each is Section => each !== undefined);
  const links = sections.map((each) => html`<li><a href="#${each.id}">${each.title}</a></li>`);
  return html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${POLICY}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>${overall(runs).word}: ${title}</title>
<style>${raw(STYLE)}</style>
</head>
<body>
<main>
${head(report, trends)}
<nav aria-label="Sections"><ul>${links}</ul></nav>
${sections.map((each) => each.html)}
<footer><p>${versions.program ?? 'phantom-spindle'}. This file is complete: it loads nothing and runs nothing.</p></footer>
</main>
</body>
</html>
`.text;
}
