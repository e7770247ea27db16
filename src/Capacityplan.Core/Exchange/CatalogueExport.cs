using System.Buffers;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using System.Text.Unicode;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Exchange;

/// <summary>Writes a catalogue as a file; <see cref="CatalogueFile"/> and <see cref="CatalogueImport"/> read the same catalogue from it.</summary>
public static class CatalogueExport
{
    private static readonly SearchValues<char> s_quotedFor = SearchValues.Create(",;\"\r\n\t|");

    private static readonly JsonSerializerOptions s_json = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        WriteIndented = true,
        DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
        Encoder = JavaScriptEncoder.Create(UnicodeRanges.All),
    };

    /// <summary>Text with commas between the cells (RFC 4180) in UTF-8 with a byte order mark, by which spreadsheets know it.</summary>
    public static byte[] ToDelimited(Catalogue catalogue)
    {
        var text = new StringBuilder("\uFEFF");
        text.AppendJoin(',', CatalogueGrid.Heads.Select(Quoted)).Append("\r\n");
        foreach (FileCell[] row in CatalogueGrid.Rows(catalogue))
            text.AppendJoin(',', row.Select(cell => cell.IsNumber ? cell.Text : Quoted(TextGuard.Given(cell.Text)))).Append("\r\n");
        return Encoding.UTF8.GetBytes(text.ToString());
    }

    /// <summary>JSON: the catalogue with its machines in the shape of the HTTP API.</summary>
    public static byte[] ToJson(Catalogue catalogue) => JsonSerializer.SerializeToUtf8Bytes(catalogue, s_json);

    /// <summary>A spreadsheet in the Office Open XML format (ISO/IEC 29500).</summary>
    public static byte[] ToSpreadsheet(Catalogue catalogue) => SpreadsheetWriter.Write("machines", CatalogueGrid.Heads, CatalogueGrid.Rows(catalogue));

    private static string Quoted(string text) =>
        text.AsSpan().ContainsAny(s_quotedFor) || text.StartsWith(' ') || text.EndsWith(' ')
            ? $"\"{text.Replace("\"", "\"\"", StringComparison.Ordinal)}\""
            : text;
}
