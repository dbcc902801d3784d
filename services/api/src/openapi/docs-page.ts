import { createRequire } from "node:module";
import { type RequestHandler, type Response, Router } from "express";
import helmet from "helmet";
import { allowOnly } from "../http/problem.ts";

const require = createRequire(import.meta.url);

const assetByName: Readonly<Record<string, string>> = {
  "swagger-ui.css": require.resolve("swagger-ui-dist/swagger-ui.css"),
  "swagger-ui-bundle.js": require.resolve("swagger-ui-dist/swagger-ui-bundle.js"),
};

const PAGE = `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>Fellmark API</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="/docs/swagger-ui.css">
</head>
<body>
<div id="api"></div>
<script src="/docs/swagger-ui-bundle.js"></script>
<script src="/docs/initializer.js"></script>
</body>
</html>
`;

const INITIALIZER = `SwaggerUIBundle({
  url: "/openapi.json",
  dom_id: "#api",
  deepLinking: true,
  defaultModelsExpandDepth: 0,
  validatorUrl: null,
});
`;

/** The API page below /docs: works without any other host. */
export function createDocsPage(): Router {
  const page = Router();
  page.use(relaxForPage());
  page.route("/").get(sendText("text/html", PAGE)).all(allowOnly("GET, HEAD"));
  page.route("/initializer.js").get(sendText("text/javascript", INITIALIZER)).all(allowOnly("GET, HEAD"));
  for (const [name, file] of Object.entries(assetByName)) {
    page.get(`/${name}`, (_req, res) => res.sendFile(file, { maxAge: "1h", dotfiles: "allow" }));
  }
  return page;
}

/** The page draws with inline styles and data: icons; scripts and data still come from here only. */
function relaxForPage(): RequestHandler {
  return helmet.contentSecurityPolicy({
    useDefaults: false,
    directives: {
      defaultSrc: ["'none'"],
      scriptSrc: ["'self'"],
      styleSrc: ["'self'", "'unsafe-inline'"],
      imgSrc: ["'self'", "data:"],
      connectSrc: ["'self'"],
      baseUri: ["'none'"],
      formAction: ["'none'"],
      frameAncestors: ["'none'"],
    },
  });
}

function sendText(type: string, text: string): RequestHandler {
  return (_req, res: Response) => void res.set("Cache-Control", "no-cache").type(`${type}; charset=utf-8`).send(text);
}
