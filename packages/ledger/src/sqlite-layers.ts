import { type Kysely, type RawBuilder, sql } from "kysely";
import { checkTenant } from "./job-key.ts";
import type { EmbedToken, LayerShelf, LayerVersion, NewLayerVersion } from "./layer-record.ts";
import type { EmbedTokenRow, LayerRow, Schema } from "./schema.ts";
import { retryWhileBusy } from "./sqlite-file.ts";

/** The layers of a ledger file. */
export function createLayerShelf(db: Kysely<Schema>): LayerShelf {
  const ofLayer = (tenant: string, layer: string) =>
    db.selectFrom("layerVersions").selectAll().where("tenant", "=", tenant).where("layer", "=", layer);
  const tokens = db.selectFrom("embedTokens").selectAll();
  const runOne = async (change: RawBuilder<LayerRow>) => {
    const [row] = (await retryWhileBusy(() => change.execute(db))).rows;
    return row && toLayerVersion(row);
  };
  return {
    putDraft: (draft) => putDraft(db, draft),
    publish: (tenant, layer, version) =>
      runOne(sql<LayerRow>`
        UPDATE layerVersions SET state = 'published', publishedAtMs = ${Date.now()},
          publication = 1 + coalesce((SELECT max(publication) FROM layerVersions
            WHERE tenant = ${tenant} AND layer = ${layer}), 0)
        WHERE tenant = ${tenant} AND layer = ${layer} AND version = ${version} AND state = 'draft'
        RETURNING *`),
    withdraw: (tenant, layer, version) =>
      runOne(sql<LayerRow>`
        UPDATE layerVersions SET state = 'withdrawn'
        WHERE tenant = ${tenant} AND layer = ${layer} AND version = ${version} AND state = 'published'
          AND publication = ${selectLatest(tenant, layer)}
        RETURNING *`),
    retire: (tenant, layer, version) =>
      runOne(sql<LayerRow>`
        UPDATE layerVersions SET state = 'retired'
        WHERE tenant = ${tenant} AND layer = ${layer} AND version = ${version} AND state IN ('draft', 'published')
          AND publication IS NOT ${selectLatest(tenant, layer)}
        RETURNING *`),
    async find(tenant, layer, version) {
      const row = await retryWhileBusy(() => ofLayer(tenant, layer).where("version", "=", version).executeTakeFirst());
      return row && toLayerVersion(row);
    },
    async findLatest(tenant, layer) {
      const published = ofLayer(tenant, layer).where("state", "=", "published").orderBy("publication", "desc").limit(1);
      const row = await retryWhileBusy(() => published.executeTakeFirst());
      return row && toLayerVersion(row);
    },
    async listVersions(tenant, layer) {
      const rows = await retryWhileBusy(() => ofLayer(tenant, layer).orderBy("version", "desc").execute());
      return rows.map(toLayerVersion);
    },
    async listLayers(tenant) {
      const query = db.selectFrom("layerVersions").select("layer").distinct().where("tenant", "=", tenant);
      return (await retryWhileBusy(() => query.orderBy("layer").execute())).map(({ layer }) => layer);
    },
    async addToken({ origins, ...token }) {
      checkTenant(token.tenant);
      const row = { ...token, origins: JSON.stringify(origins), createdAtMs: Date.now(), revokedAtMs: null };
      await retryWhileBusy(() => db.insertInto("embedTokens").values(row).execute());
      return toEmbedToken(row);
    },
    async findToken(hash) {
      const row = await retryWhileBusy(() => tokens.where("hash", "=", hash).executeTakeFirst());
      return row && toEmbedToken(row);
    },
    async listTokens(tenant, layer) {
      const query = tokens.where("tenant", "=", tenant).where("layer", "=", layer).orderBy("createdAtMs", "desc");
      return (await retryWhileBusy(() => query.orderBy("id").execute())).map(toEmbedToken);
    },
    async revokeToken(tenant, layer, id) {
      const change = sql<EmbedTokenRow>`
        UPDATE embedTokens SET revokedAtMs = coalesce(revokedAtMs, ${Date.now()})
        WHERE tenant = ${tenant} AND layer = ${layer} AND id = ${id} RETURNING *`;
      const [row] = (await retryWhileBusy(() => change.execute(db))).rows;
      return row && toEmbedToken(row);
    },
    async listKeptFiles() {
      const query = db.selectFrom("layerVersions").select(["tenant", "files"]);
      const rows = await retryWhileBusy(() => query.where("state", "in", ["draft", "published"]).execute());
      return rows.flatMap(({ tenant, files }) =>
        (JSON.parse(files) as LayerVersion["files"]).map(({ sha256 }) => ({ tenant, sha256 })),
      );
    },
  };
}

/** Number of the last publication that can still be read; null where there is none. */
function selectLatest(tenant: string, layer: string): RawBuilder<number | null> {
  return sql<number | null>`(SELECT max(publication) FROM layerVersions
    WHERE tenant = ${tenant} AND layer = ${layer} AND state = 'published')`;
}

/** See LayerShelf. Writes first, so that of two writers the second sees what the first has written. */
async function putDraft(
  db: Kysely<Schema>,
  { tenant, layer, ...draft }: NewLayerVersion,
): Promise<{ version: LayerVersion; created: boolean }> {
  checkTenant(tenant);
  const texts = {
    source: JSON.stringify(draft.source),
    description: draft.description,
    files: JSON.stringify(draft.files),
  };
  const retireOther = sql`
    UPDATE layerVersions SET state = 'retired'
    WHERE tenant = ${tenant} AND layer = ${layer} AND state = 'draft'
      AND (source, description, files) IS NOT (${texts.source}, ${texts.description}, ${texts.files})`;
  const insert = sql<LayerRow>`
    INSERT INTO layerVersions (tenant, layer, version, state, source, description, files, createdAtMs)
    SELECT ${tenant}, ${layer},
      1 + coalesce((SELECT max(version) FROM layerVersions WHERE tenant = ${tenant} AND layer = ${layer}), 0),
      'draft', ${texts.source}, ${texts.description}, ${texts.files}, ${Date.now()}
    WHERE NOT EXISTS (SELECT 1 FROM layerVersions
      WHERE tenant = ${tenant} AND layer = ${layer} AND state = 'draft')
    RETURNING *`;
  const known = db.selectFrom("layerVersions").selectAll().where("tenant", "=", tenant).where("layer", "=", layer);
  return retryWhileBusy(() =>
    db.transaction().execute(async (change) => {
      await retireOther.execute(change);
      const [added] = (await insert.execute(change)).rows;
      if (added) return { version: toLayerVersion(added), created: true };
      const [draftRow] = (await change.executeQuery<LayerRow>(known.where("state", "=", "draft").compile())).rows;
      return { version: toLayerVersion(draftRow), created: false };
    }),
  );
}

function toLayerVersion({ publication: _counter, source, files, ...row }: LayerRow): LayerVersion {
  return { ...row, source: JSON.parse(source), files: JSON.parse(files) };
}

function toEmbedToken({ origins, ...row }: EmbedTokenRow): EmbedToken {
  return { ...row, origins: JSON.parse(origins) };
}
