using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;

namespace Capacityplan.Core.Exchange;

/// <summary>
/// Lays machines in JSON out as a table: a list of machines, or a catalogue that holds one. Each way to pay is a row; the
/// members of the machine and of the way are its cells, under their names.
/// </summary>
internal sealed class JsonTable
{
    private readonly List<string> _names = [];
    private readonly Dictionary<string, int> _columns = new(StringComparer.OrdinalIgnoreCase);
    private readonly List<FileRow> _rows = [];

    private JsonTable()
    {
    }

    /// <summary>Reads the text.</summary>
    /// <exception cref="UnreadableFileException">It is not JSON, or holds no machines.</exception>
    public static FileTable Read(string text)
    {
        try
        {
            using JsonDocument document = JsonDocument.Parse(text, new JsonDocumentOptions { MaxDepth = 16, CommentHandling = JsonCommentHandling.Skip, AllowTrailingCommas = true });
            var table = new JsonTable();
            table.Lay(document.RootElement);
            ImmutableArray<FileCell> head = [.. table._names.Select(name => new FileCell(name))];
            return new FileTable { Rows = [new FileRow(0, head), .. table._rows], HasNamedColumns = true };
        }
        catch (JsonException broken)
        {
            throw new UnreadableFileException(
                string.Create(CultureInfo.InvariantCulture, $"The JSON is broken on line {(broken.LineNumber ?? 0) + 1}, near column {(broken.BytePositionInLine ?? 0) + 1}. Mend it there and choose the file again."), broken);
        }
    }

    private void Lay(JsonElement root)
    {
        JsonElement machines = root;
        string path = "";
        if (root.ValueKind == JsonValueKind.Object)
        {
            if (Member(root, "machines") is not { ValueKind: JsonValueKind.Array } listed)
                throw new UnreadableFileException("The JSON has no list of machines. Give an array of machines, or an object with one called “machines”.");
            (machines, path) = (listed, "machines");
            LayCatalogue(root);
        }

        int index = 0;
        foreach (JsonElement machine in machines.EnumerateArray())
            LayMachine(machine, string.Create(CultureInfo.InvariantCulture, $"{path}[{index++}]"));
    }

    /// <summary>What is said of the catalogue as a whole, in rows of their own.</summary>
    private void LayCatalogue(JsonElement root)
    {
        var cells = new Dictionary<int, FileCell>();
        Put(cells, ImportWords.CatalogueHead, Member(root, "name"));
        Put(cells, ImportWords.PricesOfHead, Member(root, "pricesOf"));
        Put(cells, ImportWords.InventedHead, Member(root, "pricesAreInvented"));
        Add(cells, "the catalogue");
        if (Member(root, "rates") is not { ValueKind: JsonValueKind.Array } rates)
            return;
        int index = 0;
        foreach (JsonElement rate in rates.EnumerateArray())
        {
            string place = string.Create(CultureInfo.InvariantCulture, $"rates[{index++}]");
            if (rate.ValueKind != JsonValueKind.Object)
                throw NoObject(place);
            cells = new() { [Column("kind")] = new FileCell(ImportWords.RateKind) };
            Put(cells, "currency", Member(rate, "from"));
            Put(cells, ImportWords.ConvertedIntoHead, Member(rate, "to"));
            Put(cells, ImportWords.RateHead, Member(rate, "rate"));
            Put(cells, ImportWords.RateTakenOnHead, Member(rate, "takenOn"));
            Add(cells, place);
        }
    }

    private void LayMachine(JsonElement machine, string path)
    {
        if (machine.ValueKind != JsonValueKind.Object)
            throw NoObject(path);
        var shared = new Dictionary<int, FileCell>();
        JsonElement? purchase = null;
        foreach (JsonProperty member in machine.EnumerateObject())
        {
            if (member.Name.Equals("purchase", StringComparison.OrdinalIgnoreCase))
                purchase = member.Value;
            else
                Put(shared, member.Name, member.Value);
        }

        switch (purchase)
        {
            case { ValueKind: JsonValueKind.Array } several when several.GetArrayLength() > 0:
                int index = 0;
                foreach (JsonElement way in several.EnumerateArray())
                    LayWay(shared, way, string.Create(CultureInfo.InvariantCulture, $"{path}.purchase[{index++}]"));
                break;
            case { ValueKind: JsonValueKind.Object } one:
                LayWay(shared, one, $"{path}.purchase");
                break;
            default:
                Add(shared, path);
                break;
        }
    }

    private void LayWay(Dictionary<int, FileCell> shared, JsonElement way, string path)
    {
        if (way.ValueKind != JsonValueKind.Object)
            throw NoObject(path);
        var cells = new Dictionary<int, FileCell>(shared);
        bool isAlwaysOn = Member(way, "alwaysOn") is { ValueKind: JsonValueKind.True };
        foreach (JsonProperty member in way.EnumerateObject())
        {
            if (!member.Name.Equals("alwaysOn", StringComparison.OrdinalIgnoreCase))
                Put(cells, member.Name, member.Value);
        }

        if (isAlwaysOn)
            cells[Column("kind")] = new FileCell(Machines.PurchaseDraft.AlwaysOnKind);
        Add(cells, path);
    }

    private void Put(Dictionary<int, FileCell> cells, string name, JsonElement? value)
    {
        // Text, numbers and yes or no are cells; what holds more is no figure of a machine.
        if (value is { ValueKind: JsonValueKind.String or JsonValueKind.Number or JsonValueKind.True or JsonValueKind.False } scalar)
        {
            string text = scalar.ValueKind == JsonValueKind.String ? scalar.GetString()! : scalar.GetRawText();
            if (text.Length > FileTable.LongestCell)
                throw new UnreadableFileException(string.Create(CultureInfo.InvariantCulture, $"A text under “{name}” is longer than {FileTable.LongestCell:#,0} characters."));
            cells[Column(name)] = new FileCell(text, scalar.ValueKind == JsonValueKind.Number);
        }
    }

    private int Column(string name)
    {
        if (_columns.TryGetValue(name, out int column))
            return column;
        if (_names.Count >= FileTable.MostColumns)
            throw new UnreadableFileException(string.Create(CultureInfo.InvariantCulture, $"The machines have more than {FileTable.MostColumns} different members. Keep those that say something of machines."));
        _names.Add(name);
        return _columns[name] = _names.Count - 1;
    }

    private void Add(Dictionary<int, FileCell> cells, string place)
    {
        if (_rows.Count >= FileTable.MostRows)
            throw DelimitedText.TooManyRows();
        var row = new FileCell[cells.Count == 0 ? 0 : cells.Keys.Max() + 1];
        Array.Fill(row, new FileCell(""));
        foreach ((int column, FileCell cell) in cells)
            row[column] = cell;
        _rows.Add(new FileRow(_rows.Count + 1, [.. row], place));
    }

    private static JsonElement? Member(JsonElement owner, string name)
    {
        foreach (JsonProperty member in owner.EnumerateObject())
        {
            if (member.Name.Equals(name, StringComparison.OrdinalIgnoreCase))
                return member.Value;
        }

        return null;
    }

    private static UnreadableFileException NoObject(string path) => new($"{path} is not an object. Write it as {{ \"name\": … }}.");
}
