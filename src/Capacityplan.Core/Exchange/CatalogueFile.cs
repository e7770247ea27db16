using System.Collections.Immutable;
using System.Globalization;
using System.Text;

namespace Capacityplan.Core.Exchange;

/// <summary>
/// Opens a file with machines: delimited text, JSON, or a spreadsheet in the Office Open XML format. What it is, its content
/// says and not its name.
/// </summary>
public static class CatalogueFile
{
    /// <summary>The largest file, bytes: 10 MB.</summary>
    public const int MostBytes = 10_000_000;

    private static readonly UTF8Encoding s_utf8 = new(encoderShouldEmitUTF8Identifier: false, throwOnInvalidBytes: true);

    /// <summary>Opens a file.</summary>
    /// <param name="content">Its bytes.</param>
    /// <exception cref="UnreadableFileException">It is empty, too large, broken, or none of the three.</exception>
    public static FileTable Open(byte[] content)
    {
        if (content.Length > MostBytes)
            throw new UnreadableFileException(TooLarge);
        FileTable table = content is [(byte)'P', (byte)'K', ..] ? SpreadsheetReader.Read(content)
            : IsOldSpreadsheet(content) ? throw new UnreadableFileException("This is a spreadsheet in an older binary format, or one with a password. Save it as .xlsx without a password, or as CSV.")
            : OpenText(content);
        return table.Rows.IsEmpty ? throw new UnreadableFileException("The file is empty: there is no row with anything in it.") : table;
    }

    /// <summary>Opens text that was pasted.</summary>
    /// <param name="text">The text.</param>
    /// <exception cref="UnreadableFileException">It is empty, too large or broken.</exception>
    public static FileTable OpenText(string text) => Open(Encoding.UTF8.GetBytes(text));

    /// <summary>What is said of a file that is too large.</summary>
    public static string TooLarge { get; } = string.Create(CultureInfo.InvariantCulture, $"The file is larger than {MostBytes / 1_000_000} MB. Keep the rows with machines, without pictures.");

    private static bool IsOldSpreadsheet(byte[] content) => content is [0xD0, 0xCF, 0x11, 0xE0, ..];

    private static FileTable OpenText(byte[] content)
    {
        string text = Decode(content, out bool isGuessed).TrimStart('\uFEFF');
        if (text.Contains('\0', StringComparison.Ordinal))
            throw new UnreadableFileException("This is not a text, nor a spreadsheet that can be read here. Save it as CSV in UTF-8, as .xlsx or as JSON.");
        ImmutableArray<Problem> notes = isGuessed
            ? [new Problem(ProblemSeverity.Note, "The file is not in UTF-8; its letters were read as Western European (Windows). Check names with accents.")]
            : [];
        return text.AsSpan().TrimStart() is ['{' or '[', ..] ? JsonTable.Read(text) with { Notes = notes } : DelimitedText.Read(text, notes);
    }

    private static string Decode(byte[] content, out bool isGuessed)
    {
        isGuessed = false;
        if (content is [0xFF, 0xFE, ..])
            return Encoding.Unicode.GetString(content);
        if (content is [0xFE, 0xFF, ..])
            return Encoding.BigEndianUnicode.GetString(content);
        try
        {
            return s_utf8.GetString(content);
        }
        catch (DecoderFallbackException)
        {
            isGuessed = true;
            return CodePagesEncodingProvider.Instance.GetEncoding(1252)!.GetString(content);
        }
    }
}
