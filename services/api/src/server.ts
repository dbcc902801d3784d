import { once } from "node:events";
import { createServer, type RequestListener, type Server } from "node:http";
import type { AddressInfo, Socket } from "node:net";
import { createApp, createOperationsApp } from "./app.ts";
import type { ApiContext } from "./context.ts";
import { normaliseAddress } from "./http/caller.ts";
import { createSlots } from "./http/slots.ts";

/**
 * Time for a whole request, which only a large upload that keeps moving takes: other bodies have limits of their own.
 */
const REQUEST_TIMEOUT_MS = 1_800_000;
/** Longest time between two checks of the connections. */
const CHECK_INTERVAL_MS = 1_000;

export interface ApiServer {
  /** URL on which it listens, as http://host:port. */
  address: string;
  /** URL of metrics and readiness, if they have a port of their own. */
  operationsAddress?: string;
  /** Takes no new connection, ends the event streams, waits for replies up to `limitMs`, then cuts; idempotent. */
  close(limitMs: number): Promise<void>;
}

/** Listens on the host and ports of the configuration. Rejects, with nothing left open, when a port is taken. */
export async function serve(context: ApiContext): Promise<ApiServer> {
  const { host, port, operationsPort } = context.config;
  const server = await listen(createApp(context), context, { host, port });
  const operations =
    operationsPort === undefined ? undefined : await listenBeside(server, context, { host, port: operationsPort });
  let closed: Promise<unknown> | undefined;
  return {
    address: findServerUrl(server),
    ...(operations && { operationsAddress: findServerUrl(operations) }),
    async close(limitMs) {
      context.watch.close();
      closed ??= Promise.all([server, ...(operations ? [operations] : [])].map((one) => closeWithin(one, limitMs)));
      await closed;
    },
  };
}

async function listenBeside(server: Server, context: ApiContext, at: { host: string; port: number }): Promise<Server> {
  try {
    return await listen(createOperationsApp(context), context, at);
  } catch (error) {
    server.close();
    throw error;
  }
}

async function listen(
  app: RequestListener,
  { config }: ApiContext,
  { host, port }: { host: string; port: number },
): Promise<Server> {
  const { timeouts } = config;
  const server = createServer(
    {
      requestTimeout: REQUEST_TIMEOUT_MS,
      headersTimeout: timeouts.headersMs,
      keepAliveTimeout: timeouts.idleMs,
      connectionsCheckingInterval: Math.min(CHECK_INTERVAL_MS, timeouts.headersMs),
    },
    app,
  );
  server.maxConnections = config.maxConnections;
  // Behind a proxy every connection has the proxy's address: there callers are counted by what the proxy states.
  if (config.trustedProxies === 0) server.on("connection", limitPerAddress(config));
  server.listen(port, host);
  await once(server, "listening");
  return server;
}

/** Closes connections beyond the share of one address, so that others still get one. */
function limitPerAddress(limit: { maxConnections: number; maxConnectionsPerAddress: number }) {
  const connections = createSlots({ total: limit.maxConnections, perCaller: limit.maxConnectionsPerAddress });
  return (socket: Socket) => {
    const giveBack = connections.take(normaliseAddress(socket.remoteAddress) ?? "unknown");
    if (giveBack) socket.once("close", giveBack);
    else socket.destroy();
  };
}

function findServerUrl(server: Server): string {
  const { address, family, port } = server.address() as AddressInfo;
  return `http://${family === "IPv6" ? `[${address}]` : address}:${port}`;
}

async function closeWithin(server: Server, limitMs: number): Promise<void> {
  const cut = setTimeout(() => server.closeAllConnections(), limitMs);
  server.close();
  await once(server, "close");
  clearTimeout(cut);
}
