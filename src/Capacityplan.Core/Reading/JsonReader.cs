using System.Buffers;

namespace Capacityplan.Core.Reading;

/// <summary>
/// Reads timings out of JSON: an array of objects or of pairs, objects one after another, an object of columns, an object
/// whose names are the core counts, and any of these inside an object around it.
/// </summary>
internal static class JsonReader
{
    private static readonly SearchValues<char> s_notInNames = SearchValues.Create("=:,;|()");

    private const int MostDepth = 3;
    private const int MostCells = 2_000_000;

    /// <summary>Reads the lines from the first that opens a bracket; an interpretation without runs where there is none.</summary>
    public static Interpretation Read(IReadOnlyList<PastedLine> lines)
    {
        for (var first = 0; first < lines.Count; first++)
        {
            var bracket = BracketAt(lines[first].Text);
            if (bracket >= 0)
                return Read(new LooseJson([.. lines.Skip(first)], bracket));
        }

        return new Interpretation();
    }

    private static Interpretation Read(LooseJson json)
    {
        if (json.Read() is not { } top)
            return new Interpretation();

        var best = new Interpretation();
        foreach (var rows in Tables(top, 0))
        {
            var upright = TableReader.Read(rows, default, rule: null);
            var turned = Transposition.Read(rows, new TableLayout(IsTransposed: true, IsLoose: false), CellRule.Comma);
            foreach (var read in (ReadOnlySpan<Interpretation>)[upright, turned])
            {
                if (read.Explained > best.Explained)
                    best = read;
            }
        }

        if (best.Runs.Count > 0 && json.BrokenAt is { } broken)
        {
            best.Findings.Add(new Finding(FindingKind.BrokenOff, broken));
            best.Lines.Add(broken.Line);
        }

        return best;
    }

    /// <summary>Where a line opens a bracket, at its start or behind a name: "[[1, 812]", "timings = [".</summary>
    private static int BracketAt(string text)
    {
        var at = text.AsSpan().IndexOfAny("[{(");
        var name = at > 0 ? text.AsSpan(0, at).Trim() : [];
        return name.IsEmpty || (name[^1] is '=' or ':' && !name[..^1].ContainsAny(s_notInNames) && name.Length < 40) ? at : -1;
    }

    /// <summary>The ways to see a value as a table.</summary>
    private static IEnumerable<List<TableRow>> Tables(JsonNode node, int depth)
    {
        if (node.Kind == JsonNodeKind.Array)
        {
            if (node.Items.Any(item => item.Kind == JsonNodeKind.Object))
                yield return OfObjects(node.Items);
            else if (node.Items.Any(item => item.Kind == JsonNodeKind.Array))
                yield return [.. node.Items.Where(item => item.Kind == JsonNodeKind.Array).Select(OfArray)];
            else if (depth == 0)
                yield return [OfArray(node)];
        }

        if (node.Kind == JsonNodeKind.Object)
        {
            if (node.Items.Count(item => item.Kind == JsonNodeKind.Array) >= 2)
                yield return OfColumns(node);
            if (node.Keys.Count > 0 && node.Keys.All(key => CoresText.Read(key.Text).State == CoresState.Read))
                yield return OfNames(node);
            if (depth == 0)
                yield return OfObjects([node]);
        }

        if (depth < MostDepth)
        {
            foreach (var item in node.Items.Where(item => item.Kind != JsonNodeKind.Scalar))
            {
                // An array of rows was taken as a whole; its rows are no tables of their own.
                if (node.Kind == JsonNodeKind.Array && node.Items.Count > 64)
                    yield break;
                foreach (var rows in Tables(item, depth + 1))
                    yield return rows;
            }
        }
    }

    private static TableRow OfArray(JsonNode node) => new([.. node.Items.SelectMany(Scalars)], node.Cell.Line, node.LastLine);

    /// <summary>A heading of all names, then a row for each object.</summary>
    private static List<TableRow> OfObjects(IReadOnlyList<JsonNode> objects)
    {
        // Each name takes as many columns as its longest list of values.
        var widths = new Dictionary<string, int>(StringComparer.Ordinal);
        var names = new List<Cell>();
        var rows = new List<(JsonNode Node, Dictionary<string, List<Cell>> Values)>();
        foreach (var node in objects.Where(item => item.Kind == JsonNodeKind.Object))
        {
            var values = new Dictionary<string, List<Cell>>(StringComparer.Ordinal);
            Collect(node, "", values, names, widths);
            rows.Add((node, values));
        }

        var columns = names.SelectMany(name => Enumerable.Repeat(name, widths[name.Text])).ToArray();
        var table = new List<TableRow>();
        if (rows.Count == 0 || (long)columns.Length * rows.Count > MostCells)
            return table;
        table.Add(new TableRow(columns, rows[0].Node.Cell.Line, rows[0].Node.Cell.Line));
        foreach (var (node, values) in rows)
        {
            var cells = new List<Cell>(columns.Length);
            foreach (var name in names)
            {
                var own = values.TryGetValue(name.Text, out var found) ? found : [];
                cells.AddRange(own);
                for (var missing = own.Count; missing < widths[name.Text]; missing++)
                    cells.Add(node.Cell);
            }

            table.Add(new TableRow([.. cells], node.Cell.Line, node.LastLine));
        }

        return table;
    }

    /// <summary>Gathers the values of an object by name, those of objects inside it under both names.</summary>
    private static void Collect(JsonNode node, string prefix, Dictionary<string, List<Cell>> values, List<Cell> names, Dictionary<string, int> widths)
    {
        for (var i = 0; i < node.Keys.Count; i++)
        {
            var key = node.Keys[i] with { Text = prefix + node.Keys[i].Text };
            if (node.Items[i].Kind == JsonNodeKind.Object)
            {
                if (prefix.Length < 60)
                    Collect(node.Items[i], key.Text + " ", values, names, widths);
                continue;
            }

            var cells = Scalars(node.Items[i]).ToList();
            values[key.Text] = cells;
            if (widths.TryAdd(key.Text, 0))
                names.Add(key);
            widths[key.Text] = Math.Max(widths[key.Text], cells.Count);
        }
    }

    /// <summary>An object of arrays: each array a column under its name.</summary>
    private static List<TableRow> OfColumns(JsonNode node)
    {
        var columns = Enumerable.Range(0, node.Items.Count).Where(i => node.Items[i].Kind == JsonNodeKind.Array).ToList();
        var table = new List<TableRow> { new([.. columns.Select(i => node.Keys[i])], node.Cell.Line, node.Cell.Line) };
        var length = columns.Max(i => node.Items[i].Items.Count);
        if ((long)length * columns.Count > MostCells)
            return [];
        for (var row = 0; row < length; row++)
        {
            table.Add(new TableRow(
                [.. columns.Select(i => row < node.Items[i].Items.Count ? node.Items[i].Items[row].Cell : Cell.Gap(node.Items[i].LastLine, node.Items[i].LastLine.Text.Length))],
                node.Cell.Line, node.LastLine));
        }

        return table;
    }

    /// <summary>An object whose names are core counts.</summary>
    private static List<TableRow> OfNames(JsonNode node) =>
        [.. Enumerable.Range(0, node.Keys.Count).Select(i => new TableRow(
            [node.Keys[i], .. Scalars(node.Items[i])], node.Keys[i].Line, node.Items[i].LastLine))];

    /// <summary>The scalars of a value: itself, or those of its arrays and objects.</summary>
    private static IEnumerable<Cell> Scalars(JsonNode node) =>
        node.Kind == JsonNodeKind.Scalar ? [node.Cell] : node.Items.SelectMany(Scalars);
}
