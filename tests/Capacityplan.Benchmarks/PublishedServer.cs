using System.Diagnostics;
using System.Text.RegularExpressions;

namespace Capacityplan.Benchmarks;

/// <summary>A published build, run as its users run it: a process of its own, with fresh data.</summary>
internal sealed partial class PublishedServer : IAsyncDisposable
{
    private static readonly TimeSpan s_patience = TimeSpan.FromMinutes(1);

    private readonly Process _process;
    private readonly DirectoryInfo _data;

    private PublishedServer(Process process, DirectoryInfo data, Uri address) => (_process, _data, Address) = (process, data, address);

    /// <summary>Its address.</summary>
    public Uri Address { get; }

    /// <summary>Publishes the program into a temporary folder.</summary>
    /// <returns>The folder.</returns>
    public static async Task<string> PublishAsync()
    {
        DirectoryInfo? root = new(AppContext.BaseDirectory);
        while (root is not null && !File.Exists(Path.Combine(root.FullName, "Capacityplan.sln")))
            root = root.Parent;
        string project = Path.Combine(root?.FullName ?? throw new InvalidOperationException("Run this from a clone, or name a published folder."), "src", "Capacityplan.Web");
        string folder = Directory.CreateTempSubdirectory("capacityplan-published-").FullName;
        using var publish = Process.Start(new ProcessStartInfo("dotnet", ["publish", project, "-c", "Release", "-o", folder, "-v", "quiet"]))!;
        await publish.WaitForExitAsync();
        return publish.ExitCode == 0 ? folder : throw new InvalidOperationException("Publishing failed.");
    }

    /// <summary>Starts a published build on a free port.</summary>
    /// <exception cref="InvalidOperationException">It did not say that it is ready.</exception>
    public static async Task<PublishedServer> StartAsync(string folder)
    {
        DirectoryInfo data = Directory.CreateTempSubdirectory("capacityplan-latency-");
        var process = Process.Start(new ProcessStartInfo(
            "dotnet", [Path.Combine(folder, "Capacityplan.Web.dll"), "--urls=http://127.0.0.1:0", $"--Capacityplan:DataDirectory={data.FullName}"])
        {
            RedirectStandardOutput = true,
        })!;
        using var patience = new CancellationTokenSource(s_patience);
        while (await process.StandardOutput.ReadLineAsync(patience.Token) is { } line)
        {
            if (Ready().Match(line) is { Success: true } ready)
            {
                // Read on, or the pipe fills up and the program waits for it to be emptied.
                _ = process.StandardOutput.BaseStream.CopyToAsync(Stream.Null, CancellationToken.None);
                return new PublishedServer(process, data, new Uri(ready.Groups[1].Value));
            }
        }

        throw new InvalidOperationException($"{folder} holds no program that starts.");
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        _process.Kill();
        await _process.WaitForExitAsync();
        _process.Dispose();
        _data.Delete(recursive: true);
    }

    [GeneratedRegex(@"is ready at (http://\S+?)\. ")]
    private static partial Regex Ready();
}
