import { createHash } from "node:crypto";
import type { RequestHandler } from "express";
import helmet from "helmet";

const STYLE =
  "body{font:16px/1.5 system-ui,sans-serif;max-width:44rem;margin:3rem auto;padding:0 1rem}dt{margin-top:.8rem}dd{margin:0}";

interface PageLink {
  path: string;
  text: string;
}

const LINKS: readonly PageLink[] = [
  { path: "/docs", text: "Every request with its fields, limits and examples; send one from the browser" },
  { path: "/openapi.json", text: "The same as an OpenAPI 3.1 document" },
  { path: "/v1/network", text: "The current network: sites, sectors, CPE and plans" },
  { path: "/v1/coverages", text: "Coverage jobs and their results, newest first" },
  { path: "/v1/layers", text: "Published map layers with their versions" },
  { path: "/v1/rules", text: "Power rules that a sector or CPE can name" },
  { path: "/v1/antenna-kinds", text: "Kinds of antenna and their fields" },
  { path: "/v1/cable-classes", text: "Classes of feeder cable and their loss" },
  { path: "/v1/clutter-classes", text: "Classes of clutter and their heights" },
  { path: "/health/ready", text: "Are ledger, queue and terrain ready?" },
];

const PAGE = `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>Fellmark</title>
<link rel="icon" href="data:,">
<style>${STYLE}</style>
</head>
<body>
<h1>Fellmark</h1>
<p>Coverage prediction over real terrain for fixed-wireless networks. This service answers HTTP requests in JSON.</p>
<dl>
${LINKS.map(({ path, text }) => `<dt><a href="${path}">${path}</a></dt><dd>${text}</dd>`).join("\n")}
</dl>
</body>
</html>
`;

/** The service's own page: text and links, no script, nothing from elsewhere. */
export function getLandingPage(): RequestHandler[] {
  const styleHash = `'sha256-${createHash("sha256").update(STYLE).digest("base64")}'`;
  const directives = {
    defaultSrc: ["'none'"],
    styleSrc: [styleHash],
    imgSrc: ["data:"],
    baseUri: ["'none'"],
    formAction: ["'none'"],
    frameAncestors: ["'none'"],
  };
  const send: RequestHandler = (_req, res) =>
    void res.set("Cache-Control", "no-cache").type("text/html; charset=utf-8").send(PAGE);
  return [helmet.contentSecurityPolicy({ useDefaults: false, directives }), send];
}
