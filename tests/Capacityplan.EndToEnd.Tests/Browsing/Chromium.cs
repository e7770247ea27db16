namespace Capacityplan.EndToEnd.Tests.Browsing;

/// <summary>Where the browser is, and how it is started.</summary>
internal static class Chromium
{
    private const string Variable = "CHROMIUM_PATH";
    private const string UsualPath = "/usr/bin/chromium";

    /// <summary>No sandbox, because tests often run as root in a container; everything that would talk to somewhere by
    /// itself is off, so that whatever leaves the host is the page's doing.</summary>
    public static readonly string[] Arguments =
    [
        "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
        "--disable-component-update", "--disable-sync",
    ];

    /// <summary>The browser's program file.</summary>
    /// <exception cref="InvalidOperationException">There is none: these tests cannot run, and say so instead of passing.</exception>
    public static string Find()
    {
        string? named = Environment.GetEnvironmentVariable(Variable);
        if (!string.IsNullOrWhiteSpace(named))
        {
            return File.Exists(named)
                ? named
                : throw new InvalidOperationException($"{Variable} names {named}, where there is no file. Name a Chromium, or unset it to have one looked for.");
        }

        string[] folders = (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator, StringSplitOptions.RemoveEmptyEntries);
        string[] names = ["chromium", "chromium-browser", "google-chrome"];
        return new[] { UsualPath }
            .Concat(names.SelectMany(name => folders.Select(folder => Path.Combine(folder, name))))
            .FirstOrDefault(File.Exists)
            ?? throw new InvalidOperationException(
                $"These tests drive a real browser and found none: no {UsualPath}, and no {string.Join(", ", names)} on the path. "
                + $"Install the package chromium, or name its program in {Variable}.");
    }
}
